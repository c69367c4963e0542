// Work in independent pieces, shared out over the processors: files, clips or microphones that are heard at
// the same time.
//
// The result must depend on the pieces alone: each writes only what is its own, and whoever asked puts it in
// order. Threads last as long as the call; with one job, or one piece, everything runs on the caller's. Each
// call costs some tens of microseconds a thread, so pieces should take milliseconds.
#pragma once

#include <cstddef>
#include <functional>

namespace quietpass {

// What `--jobs` asks for: itself, or one for each processor that this process may use where it is 0. At
// least 1.
int jobs_from(int wanted);

// Calls work(i) once for each i < count, in order of i, on at most `jobs` threads. finished(i) follows each
// that did not throw, never two at once. After the first piece that throws no more are begun; what the piece
// of lowest i threw is thrown again here, once all threads are at rest: the same as with one job.
void share_out(std::size_t count, int jobs, const std::function<void(std::size_t i)>& work,
               const std::function<void(std::size_t i)>& finished = {});

} // namespace quietpass
