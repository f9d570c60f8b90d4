#include "ellwand/studio/bring_in_json.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

using nlohmann::ordered_json;

std::string brought_in_json(const BroughtIn& brought, bool is_written) {
  const ordered_json json = {{"schema", kSchema},
                             {"engine", kEngineVersion},
                             {"file", brought.file.filename().string()},
                             {"written", is_written},
                             {"columns", brought.columns},
                             {"rows", brought.rows},
                             {"left_out", brought.left_out}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
