// The verbs for the page, and its own small questions: requests and answers in JSON; files are
// those of the module's own memory.

#include "opener.hpp"
#include "verbs.hpp"

#include "ellwand/studio/document.hpp"
#include "ellwand/studio/edit_document.hpp"
#include "ellwand/studio/table.hpp"
#include "ellwand/units/error.hpp"

#include <emscripten/emscripten.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <functional>
#include <map>
#include <sstream>
#include <string>

namespace {

using ellwand::studio::Value;
using ellwand::tools::Given;
using ellwand::tools::Option;
using ellwand::tools::Streams;
using ellwand::tools::Verb;
using nlohmann::json;

/// The words and options of a request, refused as on a command line.
Given given_of(const json& request, const Verb& verb) {
  Given given;
  for (const json& word : request.at("words")) given.add_word(word.get<std::string>());
  for (const auto& [name, value] : request.at("options").items()) {
    const auto is_named = [&name = name](const Option& option) { return option.name == name; };
    if (std::none_of(verb.options.begin(), verb.options.end(), is_named)) {
      ellwand::tools::refuse_unknown("--" + name, verb.options);
    }
    given.add(name, value.is_string() ? value.get<std::string>() : std::string());
  }
  return given;
}

int run_verb(const json& request, const Streams& streams) {
  const std::string name = request.at("verb").get<std::string>();
  for (const Verb& verb : ellwand::tools::all_verbs()) {
    if (verb.name == name) return verb.run(given_of(request, verb), streams);
  }
  throw ellwand::tools::WrongUsage("there is no verb '" + name + "'");
}

/// A TOML value as JSON; dates are texts.
json as_json(const Value& value) {
  switch (value.kind) {
    case Value::Kind::Whole:
      return value.whole;
    case Value::Kind::Decimal:
      return value.decimal;
    case Value::Kind::Flag:
      return value.flag;
    case Value::Kind::Array: {
      json items = json::array();
      for (const Value& item : value.items) items.push_back(as_json(item));
      return items;
    }
    case Value::Kind::Table: {
      json entries = json::object();
      for (const Value::Entry& entry : value.entries) entries[entry.key] = as_json(entry.value);
      return entries;
    }
    case Value::Kind::Text:
    case Value::Kind::Date:
      break;
  }
  return value.text;
}

ellwand::studio::Way way_of(const json& steps) {
  ellwand::studio::Way way;
  for (const json& step : steps) {
    if (step.is_string()) {
      way.emplace_back(step.get<std::string>());
    } else {
      way.emplace_back(step.get<std::size_t>());
    }
  }
  return way;
}

/// A question about the text of a file, or the text of it changed.
using Answer =
    std::function<json(const json& request, const std::string& text, const std::string& file)>;

json table_of(const std::string& text, const std::string& file) {
  const auto table = ellwand::studio::Table::read(text, file);
  json rows = json::array();
  for (const auto& row : table.rows()) rows.push_back(row.cells);
  return {{"columns", table.columns()}, {"rows", rows}};
}

std::vector<ellwand::studio::NewCell> cells_of(const json& request) {
  std::vector<ellwand::studio::NewCell> cells;
  for (const auto& [column, text] : request.at("cells").items()) {
    cells.push_back({column, text.get<std::string>(), false});
  }
  return cells;
}

json with_cells(const json& request, std::string text, const std::string& file) {
  for (const auto& cell : cells_of(request)) {
    text = ellwand::studio::Table::read(text, file).with_columns({cell.column});
    text = ellwand::studio::Table::read(text, file)
               .with_cell(request.at("row").get<std::size_t>(), cell);
  }
  return text;
}

json with_row(const json& request, std::string text, const std::string& file) {
  std::vector<std::string> columns;
  for (const auto& cell : cells_of(request)) columns.push_back(cell.column);
  text = ellwand::studio::Table::read(text, file).with_columns(columns);
  return ellwand::studio::Table::read(text, file).with_row(cells_of(request));
}

const std::map<std::string, Answer>& answers() {
  namespace studio = ellwand::studio;
  static const std::map<std::string, Answer> all = {
      {"outline", [](const json&, const std::string& text,
                     const std::string& file) { return as_json(studio::read_toml(text, file)); }},
      {"value",
       [](const json& r, const std::string& text, const std::string& file) -> json {
         return studio::with_value(text, file, way_of(r.at("way")), r.at("literal"));
       }},
      {"no value",
       [](const json& r, const std::string& text, const std::string& file) -> json {
         return studio::without_value(text, file, way_of(r.at("way")));
       }},
      {"block",
       [](const json& r, const std::string& text, const std::string& file) -> json {
         return studio::with_block(text, file, r.at("name"), r.at("place"), r.at("block"));
       }},
      {"no block",
       [](const json& r, const std::string& text, const std::string& file) -> json {
         return studio::without_block(text, file, r.at("name"), r.at("place"));
       }},
      {"block at",
       [](const json& r, const std::string& text, const std::string& file) -> json {
         return studio::block_at(text, file, r.at("name"), r.at("place"));
       }},
      {"table", [](const json&, const std::string& text,
                   const std::string& file) { return table_of(text, file); }},
      {"cells", with_cells},
      {"row", with_row}};
  return all;
}

const char* kept(json answer) {
  static std::string text;
  text = answer.dump(-1, ' ', false, json::error_handler_t::replace);
  return text.c_str();
}

}  // namespace

/// A page opens no other.
bool ellwand::tools::is_opened(const std::filesystem::path& /*file*/) { return false; }

extern "C" {

/// @param request  {"verb": "...", "words": ["..."], "options": {"rows": "24", "json": true}}
/// @returns {"status": 0, "results": "...", "talk": "..."}; holds until the next call
EMSCRIPTEN_KEEPALIVE const char* ellwand_run(const char* request) {
  std::ostringstream results;
  std::ostringstream talk;
  const int status = ellwand::tools::told_of_refusals(
      [&](const Streams& streams) { return run_verb(json::parse(request), streams); },
      {results, talk});
  return kept({{"status", status}, {"results", results.str()}, {"talk", talk.str()}});
}

/// @returns ["start", "estimate", ...]
EMSCRIPTEN_KEEPALIVE const char* ellwand_verbs() {
  json names = json::array();
  for (const Verb& verb : ellwand::tools::all_verbs()) names.push_back(verb.name);
  return kept(names);
}

/// @param request  {"ask": "value", "file": "pieces/a.toml", "text": "...", ...}
/// @returns {"status": 0, "answer": ...}, or a status other than 0 and why in "talk"
EMSCRIPTEN_KEEPALIVE const char* ellwand_text(const char* request) {
  std::ostringstream results;
  std::ostringstream talk;
  json answer;
  const int status = ellwand::tools::told_of_refusals(
      [&](const Streams&) {
        const json asked = json::parse(request);
        answer = answers().at(asked.at("ask"))(asked, asked.at("text"), asked.at("file"));
        return ellwand::tools::kDone;
      },
      {results, talk});
  return kept({{"status", status}, {"answer", answer}, {"talk", talk.str()}});
}
}
