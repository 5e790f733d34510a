#pragma once

#include <cstddef>
#include <functional>

namespace railseep {

/// Calls work(0) .. work(count - 1), each once, on so many threads; no call may depend on another. @param threads 0: all there are
/// @throws what the first call that failed threw, after the others have stopped
void side_by_side(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

}  // namespace railseep
