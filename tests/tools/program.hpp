#pragma once
/// The program run in a folder of its own that holds the demo studio.

#include "support/where.hpp"

#include <gtest/gtest.h>

#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>

namespace ellwand::test {

struct Ran {
  int status;
  std::string out;
  std::string told;
};

inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

inline void write_text(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

/// `text` with every `from` as `to`; `from` must be there.
inline std::string with(std::string text, const std::string& from, const std::string& to) {
  std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  for (; at != std::string::npos; at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
  return text;
}

/// Everything below a folder, named from there; files with their text.
inline std::map<std::string, std::string> contents(const std::filesystem::path& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    const std::string name = entry.path().lexically_relative(folder).string();
    all[name] = entry.is_regular_file() ? text_of(entry.path()) : "a folder";
  }
  return all;
}

constexpr const char* kSaltmarsh = "demo/pieces/saltmarsh.toml";

class Program : public testing::Test {
 protected:
  void SetUp() override {
    const auto* test = testing::UnitTest::GetInstance()->current_test_info();
    folder_ = std::filesystem::temp_directory_path() /
              ("ellwand-verbs-" + std::to_string(getpid()) + "-" + test->name());
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_ / "demo");
    std::filesystem::copy(source_folder() + "/data/demo", folder_ / "demo",
                          std::filesystem::copy_options::recursive);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  /// `ellwand ARGUMENTS`, split as a shell splits them, in a folder below the test's.
  Ran run_in(const std::string& below, const std::string& arguments,
             const std::string& redirect = "") const {
    const auto quoted = [&](const std::string& name) {
      return "'" + (folder_ / name).string() + "'";
    };
    const std::string out = redirect.empty() ? " >" + quoted("out.txt") : redirect;
    const std::string command = "cd " + quoted(below) + " && '" + program_file() + "' " +
                                arguments + out + " 2>" + quoted("told.txt");
    const int status = std::system(command.c_str());
    EXPECT_TRUE(WIFEXITED(status)) << command;
    return {WEXITSTATUS(status), redirect.empty() ? text_of(folder_ / "out.txt") : "",
            text_of(folder_ / "told.txt")};
  }

  Ran run(const std::string& arguments, const std::string& redirect = "") const {
    return run_in(".", arguments, redirect);
  }

  /// Changes a file of the demo.
  void change(const std::string& file, const std::string& from, const std::string& to) const {
    write_text(folder_ / file, with(text_of(folder_ / file), from, to));
  }

  std::filesystem::path folder_;
};

}  // namespace ellwand::test
