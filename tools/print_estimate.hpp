#pragma once
/// An estimate as she reads it on a terminal.

#include "ellwand/estimate/piece_totals.hpp"
#include "show.hpp"

#include <optional>
#include <string>
#include <vector>

namespace ellwand::tools {

void print_estimate(const estimate::PieceEstimate& piece, const Shower& show, bool joint,
                    std::ostream& out);

/// What is left of a fixed span, and how the warp turns on it; nothing off a beam loom.
std::vector<std::string> warp_lines(const estimate::PieceEstimate& piece, const Shower& show);

/// Whose hand the ranges of a piece are for, in sentences.
std::string whose_ranges(const std::optional<estimate::Taught>& taught);

/// Each yarn over several pieces together.
void print_totals(const estimate::Totals& totals, const Shower& show, bool joint,
                  std::ostream& out);

/// The order of work of a piece whose estimate has it, from laying out to the cautions.
void print_order(const estimate::PieceEstimate& piece, const Shower& show, std::ostream& out);

/// How sure each yarn of a piece is: its range drawn beside the others', the middle figures as one.
void print_plot(const estimate::PieceEstimate& piece, const Shower& show, std::ostream& out);

/// Where one figure comes from: its causes, which add up, and the unevenness on top.
///
/// @param figure  a yarn's id, "band 3", "waste", "warp", "cord", "size" or "room"
/// @throws WrongUsage when the piece has no such figure, naming those it has
void print_why(const estimate::PieceModel& model, const estimate::PieceEstimate& piece,
               const estimate::StartingValues& values, const std::string& figure,
               const Shower& show, std::ostream& out);

}  // namespace ellwand::tools
