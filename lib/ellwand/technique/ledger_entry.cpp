#include "ellwand/technique/ledger_entry.hpp"

namespace ellwand::technique {

const char* name_of(Cause cause) {
  switch (cause) {
    case Cause::Straight:
      return "straight";
    case Cause::Crimp:
      return "crimp";
    case Cause::Floats:
      return "floats";
    case Cause::Turns:
      return "turns";
    case Cause::Joins:
      return "joins";
    case Cause::Loops:
      return "loops";
    case Cause::Wraps:
      return "wraps";
    case Cause::Twist:
      return "twist";
    case Cause::Take:
      return "take";
    case Cause::Stretch:
      return "stretch";
    case Cause::Tails:
      return "tails";
    case Cause::Trims:
      return "trims";
    case Cause::Waste:
      return "waste";
    case Cause::Knots:
      return "knots";
    case Cause::SpareEnds:
      return "spare ends";
    case Cause::BrokenEnds:
      return "broken ends";
    case Cause::Unpicking:
      return "unpicking";
    case Cause::Sampling:
      return "sampling";
  }
  return "";
}

}  // namespace ellwand::technique
