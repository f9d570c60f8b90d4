#pragma once
/// What is found wrong or odd while one file is read, gathered so that all of it is told at once.

#include "ellwand/units/error.hpp"

#include <cstddef>
#include <set>
#include <string>
#include <tuple>
#include <vector>

namespace ellwand::studio {

/// Where something stands in a file, both from 1; 0 when unknown.
struct Place {
  int line = 0;
  int column = 0;  ///< characters in a TOML file, table columns in a CSV file
};

/// Complaints a listing names one by one; the rest are counted.
inline constexpr std::size_t kMostListed = 50;

/// The complaints and warnings of one file.
class Findings {
 public:
  explicit Findings(std::string file) : file_(std::move(file)) {}

  /// The file cannot be used as it is. The same sentence of the same place is kept once.
  void complain(const Place& place, std::string text);
  /// The file can be used; the weaver should know this.
  void warn(const Place& place, std::string text);

  const std::string& file() const { return file_; }
  bool any_complaints() const { return !complaints_.empty(); }
  std::size_t complaint_count() const { return complaints_.size(); }

  std::vector<Complaint> complaints() const;  ///< in the order of the file
  std::vector<Complaint> warnings() const;    ///< in the order of the file

  /// @throws BadInput with the complaints, if there are any
  void stop_if_any() const;

 private:
  std::string file_;
  std::vector<Complaint> complaints_;
  std::set<std::tuple<int, int, std::string>> told_;  ///< line, column and sentence of those
  std::vector<Complaint> warnings_;
};

/// Puts more behind what there is.
void append(std::vector<Complaint>& all, const std::vector<Complaint>& more);

/// The first `kMostListed` complaints, and in place of the rest one that says how many there are.
std::vector<Complaint> listed(std::vector<Complaint> complaints);

/// "; did you mean 'pitch'?" for the nearest of the candidates, or nothing when none is near.
std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates);

/// "unknown key 'picth' in [loom]; did you mean 'pitch'? It is kept but not used."
///
/// @param what   "key", "column"
/// @param where  " in [loom]", or empty
std::string unknown_name(const std::string& what, const std::string& name, const std::string& where,
                         const std::vector<std::string>& known);

/// "\"lft\" is not known here; did you mean 'left'? 'left' or 'right' is accepted"
std::string unknown_word(const std::string& word, const std::vector<std::string>& words);

/// "'left', 'right' or 'both'": the words a sentence offers.
std::string offered(const std::vector<std::string>& words);

}  // namespace ellwand::studio
