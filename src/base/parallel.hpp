// Work shared by two threads.
#pragma once

#include <cstddef>
#include <functional>

namespace keepway {

// Calls work(0) ... work(count - 1), each once and in no order when it is `worth` a second thread and there
// is one to be had; else one after another. Rethrows the first failure; what was not begun then is not done.
void in_parallel(std::size_t count, bool worth, const std::function<void(std::size_t)>& work);

}  // namespace keepway
