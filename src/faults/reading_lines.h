#pragma once
/// The grammar of one reading on one line. Used inside the room only.
///
///     POINT = VOLTS [when STATE]            U1.13 = 0.02 V when D4 high
///     POINT to POINT = OHMS                 U1.20 to ground = 4.7 kΩ
///     rise time at POINT [of LINK] = TIME   rise time at controller.D2 = 300 ns
///     dips at PART = yes | no               dips at U1 = yes
///     wire N | PART | around PART = as planned | not as planned | what is seen    the sign may be left out
///     supply RAIL = VOLTS
///     LINK works when touched [= yes | no]  PART gets hot, nothing works
#include "faults/reading_names.h"

namespace voltsill {

/// A piece of a reading and where it begins in the text that was given; a missing one is empty.
Looked<Reading> read_line(Questions& questions, const ReadingNames& names, std::string_view text);

// The same from pieces, for files. Offsets in a trouble count from the beginning of the piece in question.
Looked<int> ask_volts(Questions& questions, const ReadingNames& names, std::string_view at,
                      const BenchState& state);
/// The rise time at a receiver; of the link that has it, when `link` is empty.
Looked<int> ask_rise_time(Questions& questions, const ReadingNames& names, std::string_view at,
                          std::string_view link);
Looked<int> ask_look(Questions& questions, const ReadingNames& names, std::string_view what);
/// What somebody says of a link, a part or the bench; `fails` is a link that does not work.
struct SaidBehaviour {
    Behaviour what{};
    bool fails = false;
};
Looked<SaidBehaviour> behaviour_words(std::string_view text);
/// An answer to any question like this one, whose answers are numbers.
Looked<Reading> parse_number(const Question& like, std::string_view text);
/// Whether the text says a time, and so asks for a rise time.
bool is_time(std::string_view text);

}  // namespace voltsill
