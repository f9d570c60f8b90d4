#include "progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <system_error>
#include <utility>

namespace ellwand::tools {

namespace {

/// In a browser there is no thread to tell it, and what Emscripten takes for a terminal is not
/// seen.
bool is_seen() {
#if defined(__EMSCRIPTEN__) && !defined(__EMSCRIPTEN_PTHREADS__)
  return false;
#else
  return isatty(STDERR_FILENO) != 0;
#endif
}

}  // namespace

Progress::Progress(std::string what) : what_(std::move(what)) {
  if (!is_seen()) return;
  try {
    teller_ = std::thread([this] { tell(); });
  } catch (const std::system_error&) {
    // The system gives no more threads: then it is not told.
  }
}

Progress::~Progress() {
  if (!teller_.joinable()) return;
  {
    const std::lock_guard<std::mutex> alone(guard_);
    is_done_ = true;
  }
  done_.notify_one();
  teller_.join();
}

void Progress::tell() {
  std::unique_lock<std::mutex> alone(guard_);
  std::size_t widest = 0;
  for (int seconds = 1;; ++seconds) {
    if (done_.wait_for(alone, std::chrono::seconds(1), [this] { return is_done_; })) break;
    const std::string line = fmt::format("{}, {} s", what_, seconds);
    widest = line.size();
    fmt::print(stderr, "\r{}", line);
    std::fflush(stderr);
  }
  if (widest > 0) fmt::print(stderr, "\r{}\r", std::string(widest, ' '));
  std::fflush(stderr);
}

}  // namespace ellwand::tools
