// Preloaded before ellwand by the tests of faults: counts the calls that change files, and at one
// of them ends the program, stops it, or lets the call fail. What to do is told by FAULT, "kill:7",
// "half:7" (kill in the middle of a write), "later:7:150" (kill 150 microseconds from then on),
// "stop:7" or "fail:7:28" (with errno 28). With FAULT_STEPS each call and its time in microseconds
// is told in that file, and the end of the program after the last.

#include <dlfcn.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace {

int steps = 0;

struct Fault {
  char what[8] = "";
  int at = 0;
  int more = 0;  // an errno, or microseconds
};

const Fault& fault() {
  static const Fault stated = [] {
    Fault one;
    const char* text = std::getenv("FAULT");
    if (text != nullptr) std::sscanf(text, "%7[a-z]:%d:%d", one.what, &one.at, &one.more);
    return one;
  }();
  return stated;
}

bool is(const char* what) { return std::strcmp(fault().what, what) == 0; }

/// Where the calls are told, if anyone wants to know.
std::FILE* told() {
  static std::FILE* const file = [] {
    const char* name = std::getenv("FAULT_STEPS");
    return name == nullptr ? nullptr : std::fopen(name, "w");
  }();
  return file;
}

void tell(const char* call) {
  if (told() == nullptr) return;
  timespec now{};
  ::clock_gettime(CLOCK_MONOTONIC, &now);
  std::fprintf(told(), "%s %lld\n", call,
               static_cast<long long>(now.tv_sec) * 1'000'000 + now.tv_nsec / 1000);
  std::fflush(told());
}

/// Has the kernel kill this program in a while, wherever it is by then.
void kill_later(int microseconds) {
  sigevent killed{};
  killed.sigev_notify = SIGEV_SIGNAL;
  killed.sigev_signo = SIGKILL;
  timer_t timer{};
  itimerspec once{};
  once.it_value.tv_sec = microseconds / 1'000'000;
  once.it_value.tv_nsec = 1 + 1000L * (microseconds % 1'000'000);
  if (::timer_create(CLOCK_MONOTONIC, &killed, &timer) != 0) std::abort();
  ::timer_settime(timer, 0, &once, nullptr);
}

struct AtTheEnd {
  ~AtTheEnd() { tell("end"); }
} at_the_end;

enum class Stops { Yes, No };

/// Whether the call that is about to be made is to fail. Right before a file takes its place the
/// program is not stopped: it has looked whether the old one is still there, and between that and
/// the call lie microseconds that are not guarded.
bool fails_here(const char* call, Stops stops = Stops::Yes) {
  ++steps;
  tell(call);
  if (steps != fault().at) return false;
  if (is("kill")) ::kill(::getpid(), SIGKILL);
  if (is("later")) kill_later(fault().more);
  if (is("stop") && stops == Stops::Yes) ::kill(::getpid(), SIGSTOP);
  if (is("fail")) errno = fault().more;
  return is("fail");
}

template <class Function>
Function* real(const char* call) {
  return reinterpret_cast<Function*>(::dlsym(RTLD_NEXT, call));
}

bool is_file(int descriptor) {
  struct stat about {};
  return ::fstat(descriptor, &about) == 0 && (S_ISREG(about.st_mode) || S_ISDIR(about.st_mode));
}

}  // namespace

extern "C" {

int mkstemp(char* name) {
  static auto* const call = real<int(char*)>("mkstemp");
  return fails_here("mkstemp") ? -1 : call(name);
}

ssize_t write(int descriptor, const void* bytes, size_t count) {
  static auto* const call = real<ssize_t(int, const void*, size_t)>("write");
  if (!is_file(descriptor)) return call(descriptor, bytes, count);
  if (is("half") && steps + 1 == fault().at) {
    call(descriptor, bytes, count / 2);
    ::kill(::getpid(), SIGKILL);
  }
  return fails_here("write") ? -1 : call(descriptor, bytes, count);
}

int fchmod(int descriptor, mode_t mode) {
  static auto* const call = real<int(int, mode_t)>("fchmod");
  return fails_here("fchmod") ? -1 : call(descriptor, mode);
}

int fsync(int descriptor) {
  static auto* const call = real<int(int)>("fsync");
  return fails_here("fsync") ? -1 : call(descriptor);
}

int rename(const char* from, const char* to) {
  static auto* const call = real<int(const char*, const char*)>("rename");
  return fails_here("rename", Stops::No) ? -1 : call(from, to);
}

int renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags) {
  static auto* const call = real<int(int, const char*, int, const char*, unsigned)>("renameat2");
  return fails_here("renameat2") ? -1 : call(from_folder, from, to_folder, to, flags);
}

int unlink(const char* name) {
  static auto* const call = real<int(const char*)>("unlink");
  return fails_here("unlink") ? -1 : call(name);
}

int unlinkat(int folder, const char* name, int flags) {
  static auto* const call = real<int(int, const char*, int)>("unlinkat");
  return fails_here("unlinkat") ? -1 : call(folder, name, flags);
}

int remove(const char* name) {
  static auto* const call = real<int(const char*)>("remove");
  return fails_here("remove") ? -1 : call(name);
}

int mkdir(const char* name, mode_t mode) {
  static auto* const call = real<int(const char*, mode_t)>("mkdir");
  return fails_here("mkdir") ? -1 : call(name, mode);
}

}  // extern "C"
