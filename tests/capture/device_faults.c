#define _GNU_SOURCE
#include "device_faults.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char* const kFaultWords[] = {"skip", "stall", "overrun", "gone", "silence", "nan"};

static int is_skip(FaultKind kind) {
    return kind == kSkip || kind == kOverrun;
}

static int add_fault(FaultList* faults, const char* text, int rate_hz) {
    char word[16];
    long long from;
    double amount;
    const int fields = sscanf(text, " %15s %lld %lf", word, &from, &amount);
    if (fields <= 0) return 1;
    int kind = -1;
    for (int i = 0; i <= kNan; ++i) {
        if (!strcmp(word, kFaultWords[i])) kind = i;
    }
    if (fields != 3 || kind < 0 || from < 0 || amount < 0 || faults->count == kMostFaults) return 0;
    const int in_seconds = kind == kStall || kind == kGone;
    int64_t length = (int64_t)llrint(in_seconds ? amount * rate_hz : amount);
    if (kind == kGone && amount == 0) length = INT64_MAX - from;
    faults->all[faults->count++] = (Fault){(FaultKind)kind, from, from + length};
    return 1;
}

char* add_faults(FaultList* faults, const char* text, int rate_hz) {
    char* copy = strdup(text);
    char* rest = NULL;
    char* wrong = NULL;
    for (char* part = strtok_r(copy, ";", &rest); part && !wrong; part = strtok_r(NULL, ";", &rest)) {
        if (!add_fault(faults, part, rate_hz)) wrong = strdup(part);
    }
    free(copy);
    return wrong;
}

const Fault* fault_at(const FaultList* faults, FaultKind kind, int64_t sample) {
    for (int i = 0; i < faults->count; ++i) {
        const Fault* fault = &faults->all[i];
        if (fault->kind == kind && sample >= fault->from && sample < fault->to) return fault;
    }
    return NULL;
}

int64_t held_back_by(const FaultList* faults, int64_t sample) {
    const Fault* stall = fault_at(faults, kStall, sample);
    if (stall) sample = stall->from;
    for (int i = 0; i < faults->count; ++i) {
        const Fault* fault = &faults->all[i];
        if (is_skip(fault->kind) && sample > fault->from && sample < fault->to) sample = fault->from;
    }
    return sample;
}

int64_t skipped_between(const FaultList* faults, int64_t base, int64_t sample) {
    int64_t skipped = 0;
    for (int i = 0; i < faults->count; ++i) {
        const Fault* fault = &faults->all[i];
        if (!is_skip(fault->kind)) continue;
        const int64_t from = fault->from > base ? fault->from : base;
        const int64_t to = fault->to < sample ? fault->to : sample;
        if (to > from) skipped += to - from;
    }
    return skipped;
}

int64_t until_change(const FaultList* faults, int64_t next, int64_t length) {
    for (int i = 0; i < faults->count; ++i) {
        const Fault* fault = &faults->all[i];
        if (fault->from > next && fault->from - next < length) length = fault->from - next;
        if (fault->to > next && fault->to - next < length) length = fault->to - next;
    }
    return length;
}
