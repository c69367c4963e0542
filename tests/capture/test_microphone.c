/* A microphone without a sound card: an ALSA capture device that plays a sound file, as it would come from a
 * microphone, at its own pace or N times faster. PortAudio, unmodified, opens it. Tests and deploy/demo use
 * it.
 *
 * ALSA configuration (tests/capture/make_asound_conf writes it; give its path in ALSA_CONFIG_PATH and set
 * JACK_NO_START_SERVER=1):
 *
 *   pcm_type.quietpass_test_microphone { lib "/absolute/path/libquietpass_test_microphone.so" }
 *   pcm.default {                     # the device's name
 *     type quietpass_test_microphone
 *     file "/absolute/path.wav"       # what libsndfile reads; its rate and channels are the only ones
 *     speed "8"                       # times faster than real time; default 1
 *     at_end "silence"                # zeros for ever (default), stall (no more samples) or loop
 *     format "float"                  # sample format of the device: float (default) or s16
 *     session "a"                     # see below; default empty
 *     started_file "/absolute/path"   # written when the first sample is due; see below
 *     faults "skip 48000 4800"        # device_faults.h
 *   }
 *
 * The world goes on: the file's sample 0 is due when the device is first started, and sample n is due n /
 * rate / speed later, whether or not anybody listens. A device that is closed and opened again goes on with
 * what is due by then. A new `session` word starts a new world in the same process. The FIFO of the device is
 * endless: a reader that is late loses nothing unless a fault says so.
 *
 * started_file gets one line "MONOTONIC_NS SPEED RATE FRAMES": CLOCK_MONOTONIC at sample 0, and the file's
 * length.
 */
#define _GNU_SOURCE
#define PIC
#include <alsa/asoundlib.h>
#include <alsa/pcm_external.h>
#include <math.h>
#include <pthread.h>
#include <sndfile.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

#include "device_faults.h"

enum { kMostWorlds = 256, kChunk = 4096 };

/* What outlives a closed device: when its sample 0 was due. Never freed; tests make a few. */
typedef struct {
    char* key;
    int64_t origin_ns; /* 0: not started yet */
    int reported[kMostFaults];
} World;

static pthread_mutex_t worlds_lock = PTHREAD_MUTEX_INITIALIZER;
static World worlds[kMostWorlds];

typedef struct {
    snd_pcm_ioplug_t io;
    World* world;
    SNDFILE* file;
    SF_INFO info;
    int64_t file_at; /* where the file is read next */
    double speed;
    enum { kEndSilence, kEndStall, kEndLoop } at_end;
    snd_pcm_format_t format;
    char* started_file;
    FaultList faults;
    int64_t base; /* sample of the file at which this start of the device began */
    int64_t next; /* sample of the file that is read next */
    int vanished; /* the device went away while this handle was open */
    snd_pcm_sframes_t last_pointer;
    snd_pcm_uframes_t boundary;
    float* chunk;
} Microphone;

static int64_t now_ns(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static World* world_of(const char* session, const char* file) {
    char* key = NULL;
    if (asprintf(&key, "%s\n%s", session, file) < 0) return NULL;
    World* found = NULL;
    pthread_mutex_lock(&worlds_lock);
    for (int i = 0; i < kMostWorlds && !found; ++i) {
        if (!worlds[i].key) {
            worlds[i].key = key;
            key = NULL;
            found = &worlds[i];
        } else if (!strcmp(worlds[i].key, key)) {
            found = &worlds[i];
        }
    }
    pthread_mutex_unlock(&worlds_lock);
    free(key);
    return found;
}

/* The sample of the file that is due now; 0 before the first start. */
static int64_t due(const Microphone* mic) {
    if (!mic->world->origin_ns) return 0;
    const double seconds = (double)(now_ns() - mic->world->origin_ns) * 1e-9 * mic->speed;
    return (int64_t)(seconds * mic->info.samplerate);
}

/* The sample up to which the device can have delivered when `sample` is due: faults and the end hold it back.
 */
static int64_t held_back(const Microphone* mic, int64_t sample) {
    sample = held_back_by(&mic->faults, sample);
    if (mic->at_end == kEndStall && sample > mic->info.frames) sample = mic->info.frames;
    return sample;
}

/* How many of the samples since this start of the device up to this one are never delivered. */
static int64_t skipped_until(const Microphone* mic, int64_t sample) {
    return skipped_between(&mic->faults, mic->base, sample);
}

static void tell_started(const Microphone* mic) {
    if (!mic->started_file) return;
    char* aside = NULL;
    if (asprintf(&aside, "%s.new", mic->started_file) < 0) return;
    FILE* out = fopen(aside, "w");
    if (out) {
        fprintf(out, "%lld %g %d %lld\n", (long long)mic->world->origin_ns, mic->speed, mic->info.samplerate,
                (long long)mic->info.frames);
        fclose(out);
        rename(aside, mic->started_file);
    }
    free(aside);
}

static int microphone_start(snd_pcm_ioplug_t* io) {
    Microphone* mic = io->private_data;
    if (mic->vanished || fault_at(&mic->faults, kGone, due(mic))) return -ENODEV;
    const int first = !mic->world->origin_ns;
    if (first) mic->world->origin_ns = now_ns();
    mic->base = mic->next = first ? 0 : held_back(mic, due(mic));
    if (first) tell_started(mic);
    const int64_t tick_ns = (int64_t)((double)io->period_size * 1e9 / io->rate / mic->speed);
    const struct timespec tick = {tick_ns / 1000000000, tick_ns % 1000000000};
    const struct itimerspec timer = {tick, tick};
    return timerfd_settime(io->poll_fd, 0, &timer, NULL) < 0 ? -errno : 0;
}

static int microphone_stop(snd_pcm_ioplug_t* io) {
    const struct itimerspec none = {{0, 0}, {0, 0}};
    timerfd_settime(io->poll_fd, 0, &none, NULL);
    return 0;
}

static snd_pcm_sframes_t microphone_pointer(snd_pcm_ioplug_t* io) {
    Microphone* mic = io->private_data;
    int64_t sample = due(mic);
    if (mic->vanished) return mic->last_pointer;
    const Fault* gone = fault_at(&mic->faults, kGone, sample);
    if (gone) sample = gone->from;
    for (int i = 0; i < mic->faults.count; ++i) {
        const Fault* fault = &mic->faults.all[i];
        if (fault->kind == kOverrun && fault->from >= mic->base && sample >= fault->to &&
            !mic->world->reported[i]) {
            mic->world->reported[i] = 1;
            return -EPIPE;
        }
    }
    const int64_t until = held_back(mic, sample);
    int64_t delivered = until - mic->base - skipped_until(mic, until);
    const int64_t read = mic->next - mic->base - skipped_until(mic, mic->next);
    const int64_t room =
        read + (int64_t)io->buffer_size; /* the endless FIFO: what does not fit waits outside */
    if (delivered > room) delivered = room;
    mic->last_pointer = (snd_pcm_sframes_t)((snd_pcm_uframes_t)delivered % mic->boundary);
    return mic->last_pointer;
}

/* Silence beyond the file's end. */
static void read_file(Microphone* mic, int64_t from, int64_t count, float* out) {
    const int channels = mic->info.channels;
    if (mic->at_end == kEndLoop && mic->info.frames > 0) from %= mic->info.frames;
    if (from != mic->file_at) sf_seek(mic->file, from, SEEK_SET);
    const int64_t got = from < mic->info.frames ? sf_readf_float(mic->file, out, count) : 0;
    mic->file_at = from + got;
    if (got < count) memset(out + got * channels, 0, sizeof(float) * (size_t)((count - got) * channels));
}

/* How long the run from mic->next goes on without a change of what is to be done with it. */
static int64_t run_length(const Microphone* mic, int64_t most) {
    int64_t length = until_change(&mic->faults, mic->next, most < kChunk ? most : kChunk);
    if (mic->at_end == kEndLoop && mic->info.frames > 0) {
        const int64_t left = mic->info.frames - mic->next % mic->info.frames;
        if (left < length) length = left;
    }
    return length;
}

static snd_pcm_sframes_t microphone_transfer(snd_pcm_ioplug_t* io, const snd_pcm_channel_area_t* areas,
                                             snd_pcm_uframes_t offset, snd_pcm_uframes_t size) {
    Microphone* mic = io->private_data;
    const int channels = mic->info.channels;
    char* out = (char*)areas->addr + (areas->first + areas->step * offset) / 8;
    snd_pcm_uframes_t done = 0;
    while (done < size) {
        const Fault* skip = fault_at(&mic->faults, kSkip, mic->next);
        if (!skip) skip = fault_at(&mic->faults, kOverrun, mic->next);
        if (skip) {
            mic->next = skip->to;
            continue;
        }
        const int64_t count = run_length(mic, (int64_t)(size - done));
        const size_t values = (size_t)(count * channels);
        read_file(mic, mic->next, count, mic->chunk);
        if (fault_at(&mic->faults, kSilence, mic->next)) memset(mic->chunk, 0, sizeof(float) * values);
        if (fault_at(&mic->faults, kNan, mic->next)) {
            for (size_t i = 0; i < values; ++i) mic->chunk[i] = NAN;
        }
        if (mic->format == SND_PCM_FORMAT_FLOAT) {
            memcpy(out, mic->chunk, sizeof(float) * values);
            out += sizeof(float) * values;
        } else {
            int16_t* samples = (int16_t*)(void*)out;
            for (size_t i = 0; i < values; ++i) {
                const float full = mic->chunk[i] * 32768.0F;
                samples[i] = full >= 32767.0F ? 32767 : full <= -32768.0F ? -32768 : (int16_t)lrintf(full);
            }
            out += sizeof(int16_t) * values;
        }
        mic->next += count;
        done += (snd_pcm_uframes_t)count;
    }
    return (snd_pcm_sframes_t)size;
}

static int microphone_poll_revents(snd_pcm_ioplug_t* io, struct pollfd* fds, unsigned int count,
                                   unsigned short* revents) {
    Microphone* mic = io->private_data;
    uint64_t ticks;
    (void)count;
    *revents = 0;
    if (!(fds[0].revents & POLLIN)) return 0;
    if (read(io->poll_fd, &ticks, sizeof ticks) < 0 && errno != EAGAIN) return -errno;
    /* As the kernel does when a USB microphone is pulled: this handle never works again, whatever comes back.
     */
    if (mic->vanished || fault_at(&mic->faults, kGone, due(mic))) {
        mic->vanished = 1;
        snd_pcm_ioplug_set_state(io, SND_PCM_STATE_DISCONNECTED);
        *revents = POLLERR;
    } else if (snd_pcm_avail_update(io->pcm) != 0) { /* samples, or an error to be told */
        *revents = POLLIN;
    }
    return 0;
}

static int microphone_prepare(snd_pcm_ioplug_t* io) {
    Microphone* mic = io->private_data;
    if (mic->vanished || fault_at(&mic->faults, kGone, due(mic))) return -ENODEV;
    mic->base = mic->next = 0;
    return 0;
}

static int microphone_sw_params(snd_pcm_ioplug_t* io, snd_pcm_sw_params_t* params) {
    Microphone* mic = io->private_data;
    return snd_pcm_sw_params_get_boundary(params, &mic->boundary);
}

static void free_microphone(Microphone* mic) {
    if (mic->file) sf_close(mic->file);
    if (mic->io.poll_fd > 0) close(mic->io.poll_fd);
    free(mic->started_file);
    free(mic->chunk);
    free(mic);
}

static int microphone_close(snd_pcm_ioplug_t* io) {
    free_microphone(io->private_data);
    return 0;
}

static const snd_pcm_ioplug_callback_t kCallbacks = {
    .start = microphone_start,
    .stop = microphone_stop,
    .pointer = microphone_pointer,
    .transfer = microphone_transfer,
    .close = microphone_close,
    .prepare = microphone_prepare,
    .sw_params = microphone_sw_params,
    .poll_revents = microphone_poll_revents,
};

static int parse_faults(Microphone* mic, const char* text) {
    char* wrong = add_faults(&mic->faults, text, mic->info.samplerate);
    if (!wrong) return 0;
    SNDERR("test microphone: fault not understood: %s", wrong);
    free(wrong);
    return -EINVAL;
}

static int constrain(snd_pcm_ioplug_t* io, const Microphone* mic) {
    const unsigned int access = SND_PCM_ACCESS_RW_INTERLEAVED;
    const unsigned int format = (unsigned int)mic->format;
    const unsigned int channels = (unsigned int)mic->info.channels;
    const unsigned int rate = (unsigned int)mic->info.samplerate;
    int error = snd_pcm_ioplug_set_param_list(io, SND_PCM_IOPLUG_HW_ACCESS, 1, &access);
    if (!error) error = snd_pcm_ioplug_set_param_list(io, SND_PCM_IOPLUG_HW_FORMAT, 1, &format);
    if (!error) error = snd_pcm_ioplug_set_param_minmax(io, SND_PCM_IOPLUG_HW_CHANNELS, channels, channels);
    if (!error) error = snd_pcm_ioplug_set_param_minmax(io, SND_PCM_IOPLUG_HW_RATE, rate, rate);
    if (!error) error = snd_pcm_ioplug_set_param_minmax(io, SND_PCM_IOPLUG_HW_PERIOD_BYTES, 64, 1 << 22);
    if (!error) error = snd_pcm_ioplug_set_param_minmax(io, SND_PCM_IOPLUG_HW_BUFFER_BYTES, 256, 1 << 24);
    if (!error) error = snd_pcm_ioplug_set_param_minmax(io, SND_PCM_IOPLUG_HW_PERIODS, 2, 1024);
    return error;
}

SND_PCM_PLUGIN_DEFINE_FUNC(quietpass_test_microphone) {
    const char *file = NULL, *speed = "1", *at_end = "silence", *format = "float", *session = "",
               *faults = "";
    const char* started_file = NULL;
    const struct {
        const char* key;
        const char** value;
    } keys[] = {{"file", &file},
                {"speed", &speed},
                {"at_end", &at_end},
                {"format", &format},
                {"session", &session},
                {"faults", &faults},
                {"started_file", &started_file}};
    snd_config_iterator_t i, next;
    (void)root;
    if (stream != SND_PCM_STREAM_CAPTURE) return -EINVAL;
    snd_config_for_each(i, next, conf) {
        snd_config_t* node = snd_config_iterator_entry(i);
        const char* id;
        if (snd_config_get_id(node, &id) < 0) continue;
        for (size_t k = 0; k < sizeof keys / sizeof *keys; ++k) {
            if (!strcmp(id, keys[k].key) && snd_config_get_string(node, keys[k].value) < 0) {
                SNDERR("test microphone: %s must be a string in quotes", id);
                return -EINVAL;
            }
        }
    }
    if (!file) {
        SNDERR("test microphone: no file");
        return -EINVAL;
    }

    Microphone* mic = calloc(1, sizeof *mic);
    if (!mic) return -ENOMEM;
    mic->speed = atof(speed);
    mic->at_end = !strcmp(at_end, "stall") ? kEndStall : !strcmp(at_end, "loop") ? kEndLoop : kEndSilence;
    mic->format = !strcmp(format, "s16") ? SND_PCM_FORMAT_S16 : SND_PCM_FORMAT_FLOAT;
    mic->started_file = started_file ? strdup(started_file) : NULL;
    mic->world = world_of(session, file);
    mic->file = sf_open(file, SFM_READ, &mic->info);
    int error = mic->file && mic->world && mic->speed > 0 ? parse_faults(mic, faults) : -EINVAL;
    if (!mic->file) SNDERR("test microphone: %s: %s", file, sf_strerror(NULL));
    if (!error && fault_at(&mic->faults, kGone, due(mic))) error = -ENODEV;
    if (!error) {
        mic->chunk = malloc(sizeof(float) * kChunk * (size_t)mic->info.channels);
        mic->io.poll_fd = timerfd_create(CLOCK_MONOTONIC, TFD_NONBLOCK | TFD_CLOEXEC);
        if (!mic->chunk || mic->io.poll_fd < 0) error = -ENOMEM;
    }
    if (error) {
        free_microphone(mic);
        return error;
    }

    mic->io.version = SND_PCM_IOPLUG_VERSION;
    mic->io.name = "quietpass test microphone";
    mic->io.poll_events = POLLIN;
    mic->io.flags = SND_PCM_IOPLUG_FLAG_MONOTONIC | SND_PCM_IOPLUG_FLAG_BOUNDARY_WA;
    mic->io.callback = &kCallbacks;
    mic->io.private_data = mic;
    error = snd_pcm_ioplug_create(&mic->io, name, stream, mode);
    if (error < 0) {
        free_microphone(mic);
        return error;
    }
    error = constrain(&mic->io, mic);
    if (error < 0) {
        snd_pcm_ioplug_delete(&mic->io);
        return error;
    }
    *pcmp = mic->io.pcm;
    return 0;
}

SND_PCM_PLUGIN_SYMBOL(quietpass_test_microphone);
