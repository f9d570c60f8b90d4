#pragma once
/// What stands behind an option, read; one refusal for each kind.

#include "command_line.hpp"
#include "ellwand/units/quantity.hpp"

#include <string>
#include <vector>

namespace ellwand::tools {

/// @param accepted  what the option takes, after "it takes"
/// @throws WrongUsage always
[[noreturn]] void refuse(const Given& given, const std::string& option, const char* accepted);

/// The range of a number that an option takes.
struct Accepted {
  double least;
  double most;
  const char* told;  ///< "minutes from 1 to 1000000, without a unit"
};

/// @returns `otherwise` where it was not given
/// @throws WrongUsage for what is no number or lies outside
double number_of(const Given& given, const std::string& option, double otherwise,
                 const Accepted& accepted);

/// The same for whole numbers.
int whole_number_of(const Given& given, const std::string& option, int otherwise,
                    const Accepted& accepted);

/// A chance: "95 %", "95%" or "0.95".
///
/// @throws WrongUsage unless above 0.5 and below 1
double confidence_of(const Given& given, const std::string& option, double otherwise);

/// An amount of yarn: weighed, or run off.
struct YarnAmount {
  double amount = 0.0;  ///< in g or m
  bool is_mass = true;
};

/// "26 g", "1 lb 4 oz", "50 m".
///
/// @param option  was given
/// @throws WrongUsage for what is neither a mass nor a length, or above 1000 kg or 10 000 km
YarnAmount yarn_amount_of(const Given& given, const std::string& option);
YarnAmount read_yarn_amount(const std::string& text, const std::string& option);

/// Words between commas, without the blanks around them.
std::vector<std::string> split_at_commas(const std::string& text);

/// "; did you mean 'warp'?", or else what there is: "; name one of warp, weft and loop.", the first
/// eight of many.
std::string name_one_of(const std::string& word, const std::vector<std::string>& candidates);

}  // namespace ellwand::tools
