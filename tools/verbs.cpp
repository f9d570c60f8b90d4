#include "verbs.hpp"

#include "ellwand/units/error.hpp"

#include <filesystem>
#include <ostream>

namespace ellwand::tools {

std::vector<Verb> all_verbs() {
  // clang-format off
  return {
      start_verb(),
      estimate_verb(),
      sheet_verb(),
      record_verb(),
      calibrate_verb(),
      weave_next_verb(),
      notebook_verb(),
      kit_verb(),
      buy_verb(),
      price_verb(),
      enough_verb(),
      howfar_verb(),
      swap_verb(),
      bring_in_verb(),
      page_verb(),
      completion_verb()};
  // clang-format on
}

int told_of_refusals(const std::function<int(const Streams&)>& work, const Streams& streams) {
  try {
    return work(streams);
  } catch (const WrongUsage& wrong) {
    streams.talk << "ellwand: " << wrong.what() << '\n';
    return kWrongUsage;
  } catch (const BadInput& bad) {
    streams.talk << bad.what() << '\n';
    return kBadInput;
  } catch (const OutOfRange& refusal) {
    streams.talk << refusal.what() << '\n';
    return kBadInput;
  } catch (const std::filesystem::filesystem_error& failed) {
    streams.talk << failed.path1().string() << ": cannot be used: " << failed.code().message()
                 << '\n';
    return kBadInput;
  } catch (const std::exception& unexpected) {
    streams.talk << "ellwand: " << unexpected.what() << '\n';
    return kNoAnswer;
  }
}

}  // namespace ellwand::tools
