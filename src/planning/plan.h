#pragma once
/// Planning: for each link the interface circuits that could serve it, each built as a wiring
/// and judged by the one judge; the best chosen; channels packed into the fewest packages.
#include "judging/finding.h"

namespace voltsill {

struct Candidate {
    std::string circuit;  ///< stable name: "direct", "divider", "schottky-pull-up" ...
    std::string title;    ///< "divider 2.2 kΩ over 3.3 kΩ"
    Verdict verdict = Verdict::unknown;
    std::optional<double> high_margin, low_margin;
    double score = 0;  ///< smaller is better
    int parts = 0;
    double price = 0;
    bool in_stock = true;
    bool inverted = false;
    std::string why_not;    ///< a sentence with the number; empty when it would serve
    std::string how_sized;  ///< the window of values and the choice, as arithmetic
    std::vector<std::string> cautions;
};

struct LinkPlan {
    std::string link;
    std::optional<Candidate> chosen;
    std::vector<Candidate> rejected;  ///< served but worse, then those that would not serve
};

struct Plan {
    std::vector<LinkPlan> links;
    Wiring wiring;
    Judgement judgement;             ///< of the whole wiring
    Judgement before;                ///< of the links joined directly
    std::vector<std::string> notes;  ///< packing, spare channels, stock that ran out
};

Plan plan(const Bench& bench);

}  // namespace voltsill
