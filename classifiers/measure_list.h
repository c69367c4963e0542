// The list of measures, one line each: enumerator, name used in profiles, unit, plain meaning. One list, so
// that the enumeration, the table of names and the array of a Sound can't drift apart. Append at will;
// profiles go by name.
//
// "over the floor" = above the running background. "share" and "ratio" are 0 … 1, "oct" octaves. Percentiles
// are over the frames (16 ms) of the sound. Measures of the voice are 0 where there is none, except where
// said otherwise.
#pragma once

// clang-format off
#define QUIETPASS_MEASURES(X) \
    /* time and level */ \
    X(kDurationS,          "duration_s",           "s",      "length of the sound") \
    X(kAttackS,            "attack_s",             "s",      "time from 20 dB under the loudest moment up to 3 dB under it") \
    X(kDecayS,             "decay_s",              "s",      "time from 3 dB under the loudest moment down to 20 dB under it") \
    X(kRiseDb,             "rise_db",              "dB",     "sharpest rise of level within 32 ms") \
    X(kFallDb,             "fall_db",              "dB",     "sharpest fall of level within 32 ms") \
    X(kPeakAt,             "peak_at",              "ratio",  "where in the sound its loudest moment lies, 0 start, 1 end") \
    X(kCrestDb,            "crest_db",             "dB",     "loudest 4 ms over the mean of the sound") \
    X(kLevelIqrDb,         "level_iqr_db",         "dB",     "spread of level, middle half of the frames") \
    X(kOverDb,             "over_db",              "dB",     "loudest part of the whole sound over the floor, 90th percentile") \
    X(kOverMedianDb,       "over_median_db",       "dB",     "typical level of the whole sound over the floor, median") \
    X(kBeforeDb,           "before_db",            "dB",     "level over the floor in the second before the sound, mean") \
    X(kAfterDb,            "after_db",             "dB",     "level over the floor in the half second after the sound, mean") \
    X(kBandsUp,            "bands_up",             "ratio",  "share of the third-octave bands at least 6 dB over the floor") \
    X(kDipShare,           "dip_share",            "ratio",  "share of frames 15 dB or more under the loudest moment") \
    /* level over the floor in octave bands, 75th percentile */ \
    X(kOver63Db,           "over_63_db",           "dB",     "level over the floor, 63-125 Hz") \
    X(kOver125Db,          "over_125_db",          "dB",     "level over the floor, 125-250 Hz") \
    X(kOver250Db,          "over_250_db",          "dB",     "level over the floor, 250-500 Hz") \
    X(kOver500Db,          "over_500_db",          "dB",     "level over the floor, 500-1000 Hz") \
    X(kOver1kDb,           "over_1k_db",           "dB",     "level over the floor, 1-2 kHz") \
    X(kOver2kDb,           "over_2k_db",           "dB",     "level over the floor, 2-4 kHz") \
    X(kOver4kDb,           "over_4k_db",           "dB",     "level over the floor, 4-8 kHz") \
    /* where the energy lies, floor taken off */ \
    X(kShare63,            "share_63",             "ratio",  "share of the energy in 63-125 Hz") \
    X(kShare125,           "share_125",            "ratio",  "share of the energy in 125-250 Hz") \
    X(kShare250,           "share_250",            "ratio",  "share of the energy in 250-500 Hz") \
    X(kShare500,           "share_500",            "ratio",  "share of the energy in 500-1000 Hz") \
    X(kShare1k,            "share_1k",             "ratio",  "share of the energy in 1-2 kHz") \
    X(kShare2k,            "share_2k",             "ratio",  "share of the energy in 2-4 kHz") \
    X(kShare4k,            "share_4k",             "ratio",  "share of the energy in 4-8 kHz") \
    /* how tonal */ \
    X(kTonalBins,          "tonal_bins",           "ratio",  "share of the energy that sits in narrow peaks") \
    X(kPeakCount,          "peak_count",           "",       "narrow peaks in the spectrum, median") \
    /* shape of the spectrum, floor taken off */ \
    X(kCentroidHz,         "centroid_p50_hz",      "Hz",     "middle of the energy, median") \
    X(kCentroidIqrOct,     "centroid_iqr_oct",     "oct",    "how much the middle of the energy moves, middle half") \
    X(kBandwidthHz,        "bandwidth_p50_hz",     "Hz",     "spread of the energy around its middle, median") \
    X(kRolloffHz,          "rolloff_p50_hz",       "Hz",     "85 % of the energy lies below, median") \
    X(kRolloffIqrOct,      "rolloff_iqr_oct",      "oct",    "how much that edge moves, middle half") \
    X(kFlatness,           "flatness_p50",         "ratio",  "flatness of the spectrum (0 tone, 1 noise), median") \
    X(kFlatnessIqr,        "flatness_iqr",         "ratio",  "how much the flatness changes, middle half") \
    X(kEntropy,            "entropy_p50",          "ratio",  "how evenly the energy is spread, median") \
    X(kEntropyIqr,         "entropy_iqr",          "ratio",  "how much that changes, middle half") \
    X(kFlux,               "flux_p50",             "ratio",  "change of the spectrum from frame to frame, median") \
    X(kFluxIqr,            "flux_iqr",             "ratio",  "how uneven that change is, middle half") \
    X(kFluxHigh,           "flux_p90",             "ratio",  "change of the spectrum from frame to frame, 90th percentile") \
    X(kPeakHz,             "peak_p50_hz",          "Hz",     "strongest frequency, median") \
    X(kPeakIqrOct,         "peak_iqr_oct",         "oct",    "how much the strongest frequency moves, middle half") \
    X(kPeakMoveOct,        "peak_move_oct",        "oct",    "move of the strongest frequency from frame to frame, mean") \
    X(kSlopeDbOct,         "slope_db_oct",         "dB/oct", "tilt of the spectrum from 125 Hz to 8 kHz") \
    X(kFormant1Hz,         "formant1_hz",          "Hz",     "first hump of the smoothed spectrum above 200 Hz") \
    X(kFormant2Hz,         "formant2_hz",          "Hz",     "second hump of the smoothed spectrum; 0 when there is none") \
    X(kHissDb,             "hiss_db",              "dB",     "even noise in 4-8 kHz over that in 500-2000 Hz, between the peaks") \
    /* rhythm: the level's ups and downs over the sound and the second around it */ \
    X(kMod2,               "mod_2_4",              "ratio",  "share of the ups and downs at 2-4 a second") \
    X(kMod3,               "mod_3_6",              "ratio",  "share of the ups and downs at 3-6 a second (speech)") \
    X(kMod6,               "mod_6_12",             "ratio",  "share of the ups and downs at 6-12 a second (bleats)") \
    X(kMod12,              "mod_12_25",            "ratio",  "share of the ups and downs at 12-25 a second (chatter)") \
    X(kModDepthDb,         "mod_depth_db",         "dB",     "size of the ups and downs faster than 2 a second") \
    X(kRepeat,             "repeat",               "ratio",  "how much the level repeats itself within the two seconds around") \
    X(kRepeatS,            "repeat_s",             "s",      "after what time it repeats; 0 when it doesn't") \
    X(kQuietAround,        "quiet_around",         "ratio",  "share of the second before and half second after within 3 dB of the floor") \
    X(kBangBeforeDb,       "bang_before_db",       "dB",     "sharpest rise within 32 ms in the second before") \
    /* the voice: the run of harmonics that can best be followed through the sound */ \
    X(kVoiceS,             "voice_s",              "s",      "length of the voice") \
    X(kVoiceShare,         "voice_share",          "ratio",  "length of the voice as a share of the sound") \
    X(kVoiceSum,           "voice_sum",            "s",      "strength of the voice times its length") \
    X(kVoiceTone,          "voice_tone",           "",       "strength of the voice: how far its harmonics stand out, mean") \
    X(kVoiceToneLow,       "voice_tone_p10",       "",       "the same, 10th percentile") \
    X(kVoiceToneHigh,      "voice_tone_p90",       "",       "the same, 90th percentile") \
    X(kVoiceF0LowHz,       "voice_f0_p10_hz",      "Hz",     "low pitch of the voice, 10th percentile") \
    X(kVoiceF0Hz,          "voice_f0_hz",          "Hz",     "pitch of the voice, median") \
    X(kVoiceF0HighHz,      "voice_f0_p90_hz",      "Hz",     "high pitch of the voice, 90th percentile") \
    X(kVoiceSlope,         "voice_slope_oct_s",    "oct/s",  "rise (+) or fall (-) of the voice's pitch") \
    X(kVoiceArchOct,       "voice_arch_oct",       "oct",    "arch of the voice's pitch: its middle over its two ends") \
    X(kVoiceRangeOct,      "voice_range_oct",      "oct",    "lowest to highest pitch of the voice") \
    X(kVoiceWanderOct,     "voice_wander_oct",     "oct",    "how far the voice's pitch strays from its arch") \
    X(kVoiceSteadyShare,   "voice_steady_share",   "ratio",  "longest stretch of the voice on one pitch, as a share") \
    X(kVoiceMoveOctS,      "voice_move_oct_s",     "oct/s",  "how fast the voice's pitch moves, up and down alike") \
    X(kVoiceTurns,         "voice_turns_per_s",    "1/s",    "how often the voice's pitch turns") \
    X(kVoiceOctaveDown,    "voice_octave_down",    "ratio",  "strength of the voice an octave lower, against its own") \
    X(kVoiceOctaveUp,      "voice_octave_up",      "ratio",  "strength of the voice an octave higher, against its own") \
    X(kVoice125Db,         "voice_125_db",         "dB",     "harmonics over the floor, below 250 Hz") \
    X(kVoice250Db,         "voice_250_db",         "dB",     "harmonics over the floor, 250-500 Hz") \
    X(kVoice500Db,         "voice_500_db",         "dB",     "harmonics over the floor, 500-1000 Hz") \
    X(kVoice1kDb,          "voice_1k_db",          "dB",     "harmonics over the floor, 1-2 kHz") \
    X(kVoice2kDb,          "voice_2k_db",          "dB",     "harmonics over the floor, 2-4 kHz") \
    X(kVoice4kDb,          "voice_4k_db",          "dB",     "harmonics over the floor, 4-7 kHz") \
    X(kVoiceContrast125Db, "voice_contrast_125_db", "dB",    "harmonics over what lies between them, below 250 Hz") \
    X(kVoiceContrast250Db, "voice_contrast_250_db", "dB",    "harmonics over what lies between them, 250-500 Hz") \
    X(kVoiceContrast500Db, "voice_contrast_500_db", "dB",    "harmonics over what lies between them, 500-1000 Hz") \
    X(kVoiceContrast1kDb,  "voice_contrast_1k_db", "dB",     "harmonics over what lies between them, 1-2 kHz") \
    X(kVoiceContrast2kDb,  "voice_contrast_2k_db", "dB",     "harmonics over what lies between them, 2-4 kHz") \
    X(kVoiceContrast4kDb,  "voice_contrast_4k_db", "dB",     "harmonics over what lies between them, 4-7 kHz") \
    X(kVoiceTiltDb,        "voice_tilt_db",        "dB",     "high harmonics against low ones") \
    X(kVoiceHumpDb,        "voice_hump_db",        "dB",     "harmonics at 500-1000 Hz against those beside") \
    X(kVoiceHarmonics,     "voice_harmonics",      "",       "harmonics that stand out 4 dB, mean") \
    X(kVoiceHighestHz,     "voice_highest_hz",     "Hz",     "highest harmonic that stands out 4 dB, mean") \
    X(kVoiceStrongestHz,   "voice_strongest_hz",   "Hz",     "strongest harmonic, mean") \
    X(kVoiceOddShare,      "voice_odd_share",      "ratio",  "odd harmonics' part of the voice") \
    X(kVoiceDriftDb,       "voice_drift_db",       "dB",     "change of the voice's colour from its first to its last third") \
    X(kVoiceChangeDb,      "voice_change_db",      "dB",     "change of the voice's colour from frame to frame") \
    X(kVoiceMod3,          "voice_mod_3_6",        "ratio",  "share of the voice's ups and downs at 3-6 a second (speech)") \
    X(kVoiceMod6,          "voice_mod_6_12",       "ratio",  "share of the voice's ups and downs at 6-12 a second (bleats)") \
    X(kVoiceMod12,         "voice_mod_12_25",      "ratio",  "share of the voice's ups and downs at 12-25 a second") \
    X(kVoiceRoughDb,       "voice_rough_db",       "dB",     "change of the voice's loudness from frame to frame") \
    X(kVoicePeakAt,        "voice_peak_at",        "ratio",  "where in the voice its loudest moment lies") \
    X(kVoiceLoudDb,        "voice_loud_db",        "dB",     "harmonics over the floor, all bands, 90th percentile") \
    X(kVoiceLoudIqrDb,     "voice_loud_iqr_db",    "dB",     "spread of the voice's loudness, middle half") \
    X(kVoiceRiseDb,        "voice_rise_db",        "dB",     "loudest moments of the voice over its first quarter") \
    X(kVoiceFallDb,        "voice_fall_db",        "dB",     "loudest moments of the voice over its last quarter")
// clang-format on
