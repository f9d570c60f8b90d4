#include "ellwand/studio/record_json.hpp"

#include "ellwand/studio/estimate_json.hpp"

#include <nlohmann/json.hpp>

namespace ellwand::studio {

std::string record_json(const std::string& done, const Recorded& recorded) {
  using nlohmann::ordered_json;
  ordered_json cells = ordered_json::object();
  for (const NewCell& cell : recorded.cells) cells[cell.column] = cell.text;
  ordered_json warnings = ordered_json::array();
  for (const Complaint& warning : recorded.warnings) {
    warnings.push_back({{"file", warning.file}, {"line", warning.line}, {"text", warning.text}});
  }
  const ordered_json json = {{"schema", kSchema},     {"engine", kEngineVersion},
                             {"done", done},          {"file", recorded.file.string()},
                             {"line", recorded.line}, {"cells", cells},
                             {"warnings", warnings},  {"notes", recorded.notes}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
