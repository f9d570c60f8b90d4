#include "ellwand/studio/write_turn.hpp"

#include "ellwand/studio/changes.hpp"
#include "ellwand/units/error.hpp"

#ifndef __EMSCRIPTEN__
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <thread>
#endif

namespace ellwand::studio {

namespace fs = std::filesystem;

#ifdef __EMSCRIPTEN__

// The page has its files in its own memory.
WriteTurn::WriteTurn(const fs::path&) {}
WriteTurn::~WriteTurn() = default;

#else

namespace {

constexpr std::chrono::seconds kLongestWait{10};
constexpr std::chrono::milliseconds kBetweenTries{5};

/// Whether it is locked now, or cannot be locked at all; false where another has it.
bool try_to_lock(int descriptor) {
  while (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
    if (errno == EINTR) continue;
    return errno != EWOULDBLOCK;
  }
  return true;
}

}  // namespace

WriteTurn::WriteTurn(const fs::path& folder)
    : descriptor_(
          ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  const auto begun = std::chrono::steady_clock::now();
  while (descriptor_ >= 0 && !try_to_lock(descriptor_)) {
    if (std::chrono::steady_clock::now() - begun > kLongestWait) {
      ::close(descriptor_);
      throw BadInput({{folder.string(), 0, 0,
                       "another program has been writing here for ten seconds; nothing is changed, "
                       "so do it again when that is done"}});
    }
    std::this_thread::sleep_for(kBetweenTries);
  }
  if (are_changes_left(folder)) finish_changes(folder);
}

WriteTurn::~WriteTurn() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

#endif

}  // namespace ellwand::studio
