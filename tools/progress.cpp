#include "progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <utility>

namespace ellwand::tools {

Progress::Progress(std::string what) : what_(std::move(what)) {
  if (isatty(STDERR_FILENO) != 0) teller_ = std::thread([this] { tell(); });
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
