#pragma once
/// A new text of a file, waiting beside it to take its place in one step.

#include <filesystem>
#include <string>

namespace ellwand::studio {

/// The file a name leads to: behind a symbolic link, what it points at.
std::filesystem::path behind_links(const std::filesystem::path& path);

/// So that new names in a folder outlive a power cut. A folder that cannot be forced to the disk is
/// left.
void force_folder_to_disk(const std::filesystem::path& folder);

/// A hidden file in the folder of the one it is for; removed again unless it takes its place. What
/// a program that was killed left of the same file more than an hour ago is removed as well.
class StagedFile {
 public:
  /// Writes the text and forces it to the disk. The permissions are those of the old file.
  ///
  /// @throws BadInput naming the file and why it cannot be written
  StagedFile(const std::filesystem::path& path, const std::string& text);
  StagedFile(const StagedFile&) = delete;
  StagedFile& operator=(const StagedFile&) = delete;
  ~StagedFile();

  const std::string& name() const { return name_; }  ///< of the hidden file
  const std::filesystem::path& target() const { return target_; }

  /// @throws BadInput as above; the old file is then unchanged
  void take_place();
  /// From now on it stays, whatever becomes of this object.
  void keep() { name_.clear(); }

 private:
  void write(const std::string& text);
  void take_permissions();
  void force_to_disk();
  void remove();

  std::filesystem::path target_;
  std::string name_;
  int descriptor_ = -1;
};

}  // namespace ellwand::studio
