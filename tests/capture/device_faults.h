/* What a test microphone does wrong, and when. Separated by ";", with X and N in samples of the file (one
 * channel) and T in seconds of the file: skip X N      samples X … X+N−1 never come; nothing says so stall X
 * T     from sample X on nothing comes for T; then all of it at once overrun X N   as skip, and the device
 * reports an overrun at X+N gone X T      at sample X the device goes away, for T (0: for ever); opening it
 * fails meanwhile silence X N   N samples of digital silence nan X N       N samples that are not numbers
 * (float format only)
 */
#pragma once

#include <stdint.h>

enum { kMostFaults = 32 };

typedef enum { kSkip, kStall, kOverrun, kGone, kSilence, kNan } FaultKind;

typedef struct {
    FaultKind kind;
    int64_t from, to; /* samples of the file; to is exclusive */
} Fault;

typedef struct {
    Fault all[kMostFaults];
    int count;
} FaultList;

/* NULL, or the part of the text that is no fault; free() it. */
char* add_faults(FaultList* faults, const char* text, int rate_hz);

/* Of this kind, at this sample; NULL: none. */
const Fault* fault_at(const FaultList* faults, FaultKind kind, int64_t sample);

/* The sample up to which the device can have delivered when `sample` is due: stalls hold it back, and nothing
 * comes in the middle of a skip. */
int64_t held_back_by(const FaultList* faults, int64_t sample);

/* How many of the samples base … sample are never delivered. */
int64_t skipped_between(const FaultList* faults, int64_t base, int64_t sample);

/* At most `length`: how long it goes on from `next` without a fault's beginning or end. */
int64_t until_change(const FaultList* faults, int64_t next, int64_t length);
