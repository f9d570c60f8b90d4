#pragma once
/// What is being done and for how long, while it takes long.

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

namespace ellwand::tools {

/// On a terminal behind stderr, from the second second on, "Fitting 1000 swatches, 2 s"; gone again
/// when it is done. Anywhere else nothing.
class Progress {
 public:
  /// @param what  is done, in the words of the line
  explicit Progress(std::string what);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

 private:
  void tell();

  std::string what_;
  std::mutex guard_;
  std::condition_variable done_;
  bool is_done_ = false;
  std::thread teller_;
};

}  // namespace ellwand::tools
