#include "opener.hpp"

#include <spawn.h>
#include <sys/wait.h>

#include <string>

extern char** environ;

namespace ellwand::tools {

bool is_opened(const std::filesystem::path& file) {
  std::string program = "xdg-open";
  std::string name = file.string();
  char* arguments[] = {program.data(), name.data(), nullptr};
  pid_t child = 0;
  if (posix_spawnp(&child, program.c_str(), nullptr, nullptr, arguments, environ) != 0)
    return false;
  int status = 0;
  return waitpid(child, &status, 0) == child && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

}  // namespace ellwand::tools
