#pragma once
/// One program at a time changes the files of a studio, from reading them to writing them.

#include <filesystem>

namespace ellwand::studio {

/// Held from before a file is read until its new text has taken its place. It locks the folder
/// itself, so that no file of a lock is left behind; a file system that knows no locks does
/// without.
class WriteTurn {
 public:
  /// Waits until no other program has its turn, ten seconds at most; then finishes what one that
  /// was killed in the middle of changing several files has left (changes.hpp).
  ///
  /// @throws BadInput naming the folder where another still has it
  explicit WriteTurn(const std::filesystem::path& folder);
  WriteTurn(const WriteTurn&) = delete;
  WriteTurn& operator=(const WriteTurn&) = delete;
  ~WriteTurn();

 private:
  int descriptor_ = -1;
};

}  // namespace ellwand::studio
