#pragma once
/// Planning: for each link the interface circuits that could serve it, each built as a wiring
/// and judged by the one judge; the best chosen; channels packed into the fewest packages.
#include "judging/finding.h"

namespace voltsill {

struct Candidate {
    std::string circuit;  ///< stable name: "direct", "divider", "schottky-pull-up" ...
    std::string title;    ///< "divider 2.2 kΩ over 3.3 kΩ"
    std::string part;     ///< type of its integrated circuit: "LVC 541"; empty: of single parts
    Verdict verdict = Verdict::unknown;
    std::optional<double> high_margin, low_margin;
    double score = 0;  ///< smaller is better
    int parts = 0;
    double price = 0;
    bool in_stock = true;
    bool inverted = false;
    bool wired = false;      ///< built and judged; false: `why_not` says what forbids it before that
    bool choosable = false;  ///< wired, and a bench file may ask for it (`wish_for`)
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

/// A link's `interface`: "divider", or with the part that shall do it "low-rail-buffer LVC 541".
struct InterfaceWish {
    std::string_view circuit, part;
    bool takes(const Candidate& candidate) const {
        return candidate.circuit == circuit && (part.empty() || candidate.part == part);
    }
};
InterfaceWish wish_for(std::string_view interface);

}  // namespace voltsill
