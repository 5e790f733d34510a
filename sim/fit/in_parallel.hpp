#pragma once

#include <cstddef>
#include <functional>

namespace railseep {

inline constexpr int most_threads = 256;  // more than any machine that this runs on has cores

/// Calls work(0) .. work(count - 1), each once, on so many threads. What each call does must not depend on the others:
/// then the result does not depend on the number of threads. @param threads most_threads at most; 0: as many as there
/// are cores. Where the system gives fewer, those do it
/// @throws what the first of the calls that failed threw, after the others have stopped
void in_parallel(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

/// The same within a call of in_parallel(): its threads help that have nothing else to do. Elsewhere one call after the
/// other.
void with_idle_threads(std::size_t count, const std::function<void(std::size_t)>& work);

}  // namespace railseep
