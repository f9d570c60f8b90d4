#include "ellwand/studio/notebook_json.hpp"

#include "ellwand/studio/estimate_json.hpp"
#include "ellwand/units/error.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <set>
#include <sstream>
#include <string_view>
#include <vector>

namespace ellwand::studio {

namespace {

using nlohmann::ordered_json;

constexpr std::string_view kHead = "# %% ";
constexpr std::string_view kMarkdown = "[markdown] ";

bool is_cell_id(const std::string& text) {
  constexpr std::size_t kLongest = 64;
  const auto is_good = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_';
  };
  return !text.empty() && text.size() <= kLongest && std::all_of(text.begin(), text.end(), is_good);
}

struct Cell {
  std::string id;
  bool is_markdown = false;
  std::vector<std::string> lines;
};

class Cutting {
 public:
  Cutting(const std::string& file, const std::map<std::string, std::string>& words)
      : file_(file), words_(words) {}

  std::vector<Cell> cells_of(const std::string& source) {
    std::istringstream lines(source);
    for (std::string line; std::getline(lines, line);) {
      ++line_;
      if (line.starts_with(kHead)) {
        begin(line.substr(kHead.size()));
      } else if (!cells_.empty()) {
        add(line);
      }
    }
    if (cells_.empty()) refuse("there is no cell in it; one begins with a line '# %% its-id'");
    for (Cell& cell : cells_) {
      while (!cell.lines.empty() && cell.lines.back().empty()) cell.lines.pop_back();
    }
    return std::move(cells_);
  }

 private:
  [[noreturn]] void refuse(const std::string& text) const {
    throw BadInput({{file_, line_, 0, text}});
  }

  void begin(std::string head) {
    Cell cell;
    cell.is_markdown = head.starts_with(kMarkdown);
    if (cell.is_markdown) head.erase(0, kMarkdown.size());
    if (!is_cell_id(head)) {
      refuse("'" + head + "' is no id of a cell; letters, digits, - and _ are accepted, up to 64");
    }
    if (!ids_.insert(head).second) refuse("another cell has the id '" + head + "' already");
    cell.id = head;
    cells_.push_back(std::move(cell));
  }

  void add(const std::string& line) {
    Cell& cell = cells_.back();
    if (!cell.is_markdown || line.empty()) {
      cell.lines.push_back(line);
    } else if (line == "#" || line.starts_with("# ")) {
      cell.lines.push_back(filled_in(line.size() > 2 ? line.substr(2) : ""));
    } else {
      refuse("a line of markdown begins with '# '");
    }
  }

  std::string filled_in(std::string line) const {
    for (std::size_t at = line.find("{{"); at != std::string::npos; at = line.find("{{", at)) {
      const std::size_t end = line.find("}}", at);
      const std::string name = line.substr(at + 2, end - at - 2);
      if (end == std::string::npos) refuse("'" + name + "' in double braces is not closed");
      const auto word = words_.find(name);
      if (word == words_.end()) refuse("'" + name + "' in double braces is not known");
      line.replace(at, end + 2 - at, word->second);
      at += word->second.size();
    }
    return line;
  }

  const std::string& file_;
  const std::map<std::string, std::string>& words_;
  int line_ = 0;
  std::set<std::string> ids_;
  std::vector<Cell> cells_;
};

/// Each line with its end, but for the last.
ordered_json lines_json(const std::vector<std::string>& lines) {
  ordered_json all = ordered_json::array();
  for (const std::string& line : lines) {
    all.push_back(&line == &lines.back() ? line : line + "\n");
  }
  return all;
}

ordered_json cell_json(const Cell& cell) {
  ordered_json json = {{"cell_type", cell.is_markdown ? "markdown" : "code"},
                       {"id", cell.id},
                       {"metadata", ordered_json::object()}};
  if (!cell.is_markdown) {
    json["execution_count"] = nullptr;
    json["outputs"] = ordered_json::array();
  }
  json["source"] = lines_json(cell.lines);
  return json;
}

}  // namespace

std::string notebook_json(const std::string& source, const std::string& file,
                          const std::map<std::string, std::string>& words) {
  ordered_json cells = ordered_json::array();
  for (const Cell& cell : Cutting(file, words).cells_of(source)) cells.push_back(cell_json(cell));
  const ordered_json json = {
      {"cells", cells},
      {"metadata",
       {{"kernelspec", {{"display_name", "Python 3"}, {"language", "python"}, {"name", "python3"}}},
        {"language_info", {{"name", "python"}}}}},
      {"nbformat", 4},
      {"nbformat_minor", 5}};
  return json.dump(1, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

std::string notebook_written_json(const std::string& folder, const std::string& notebook,
                                  const std::vector<ExportTable>& tables) {
  ordered_json files = ordered_json::array();
  for (const ExportTable& one : tables) {
    files.push_back({{"file", one.file}, {"rows", one.rows.size()}, {"a_row_is", one.about}});
  }
  const ordered_json json = {{"schema", kSchema},
                             {"engine", kEngineVersion},
                             {"folder", folder},
                             {"notebook", notebook},
                             {"tables", files}};
  return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace ellwand::studio
