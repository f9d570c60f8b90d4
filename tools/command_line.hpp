#pragma once
/// What every verb shares: exit statuses, its options read with help and did-you-mean, its streams.

#include <functional>
#include <iosfwd>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace ellwand::tools {

inline constexpr int kDone = 0;
inline constexpr int kNoAnswer = 1;
inline constexpr int kWrongUsage = 2;
inline constexpr int kBadInput = 3;

/// The command was not given as it should be; one sentence.
class WrongUsage : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// There is nothing to answer; one sentence. Told on stderr, exit status 1.
class NoAnswer : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

struct Streams {
  std::ostream& results;  ///< stdout
  std::ostream& talk;     ///< stderr
};

/// One option of a verb. Without a `value` it is a switch.
struct Option {
  std::string name;   ///< without the dashes
  std::string value;  ///< what stands for its value in the help, or empty
  std::string help;
  char letter = 0;        ///< a short form, or none
  bool is_listed = true;  ///< in the help; otherwise its `more` tells of it
};

/// What a verb was given.
class Given {
 public:
  /// @throws WrongUsage when it was given before
  void add(const std::string& option, std::string value);
  void add_word(std::string word) {
    words_.push_back(std::move(word));
    options_before_.push_back(entries_.size());
  }

  bool has(const std::string& option) const;
  /// @returns the value of an option, empty when it was not given
  const std::string& value(const std::string& option) const;
  const std::vector<std::string>& words() const { return words_; }
  /// Of more words than a verb takes, where one stands behind the value of an option, what to
  /// write: "what is '7/8'? A value with a blank in it is quoted: --height-in '1 7/8'". Empty
  /// otherwise.
  /// @param taken  so many words the verb takes
  std::string torn_value(std::size_t taken) const;

 private:
  struct Entry {
    std::string option;
    std::string value;
  };
  std::vector<Entry> entries_;
  std::vector<std::string> words_;
  std::vector<std::size_t> options_before_;  ///< of each word
};

/// @throws WrongUsage for an unknown or repeated option, naming the nearest, or a missing value
Given read_options(const std::vector<std::string>& arguments, const std::vector<Option>& options);

/// @throws WrongUsage always, naming the nearest option there is
[[noreturn]] void refuse_unknown(const std::string& token, const std::vector<Option>& options);

struct Verb {
  std::string name;
  std::string does;                   ///< one line for the list of verbs
  std::string usage;                  ///< "FOLDER [options]"
  std::vector<std::string> examples;  ///< shown first in its help
  std::vector<Option> options;
  std::string more;  ///< further help, or empty
  std::function<int(const Given&, const Streams&)> run;
};

std::string help_of(const Verb& verb);

/// "; did you mean 'estimate'?", or the full stop alone.
std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates);

/// A word as it is typed at a prompt: in single quotes when it holds more than letters, digits and
/// the signs of plain file names.
std::string as_typed(const std::string& word);

}  // namespace ellwand::tools
