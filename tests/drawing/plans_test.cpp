/// Laws of package plans and tie-point plans, and two kept files reviewed by eye.
#include <gmock/gmock.h>

#include <cmath>
#include <cstdlib>
#include <map>
#include <regex>
#include <set>

#include "drawing/net_signs.h"
#include "drawing/package_plan.h"
#include "drawing/svg.h"
#include "drawing/tie_point_plan.h"
#include "subject.h"

namespace voltsill {
namespace {

using drawing::Drawing;
using drawing::Group;
using drawing::Label;
using drawing::Point;

std::vector<const Label*> words_in(const Group& group) {
    Drawing d;
    d.items.emplace_back(group);
    static std::vector<Drawing> kept;  // labels live as long as their drawing
    kept.push_back(std::move(d));
    return drawing::labels_of(kept.back());
}

const std::vector<Subject>& subjects() {
    static const std::vector<Subject> all = [] {
        std::vector<Subject> made;
        for (const std::string& name : example_names()) made.push_back(example(name));
        for (unsigned seed = 1; seed <= 12; ++seed)
            if (auto s = subject("made " + std::to_string(seed), made::bench(seed, 8), seed % 2 ? 63 : 30))
                made.push_back(std::move(*s));
        return made;
    }();
    return all;
}

bool in_hole(const WireEnd& end, int board) { return end.kind == WireEnd::Kind::hole && end.hole.board == board; }

TEST(PackagePlan, HasEveryPinByNumber) {
    for (const Subject& s : subjects())
        for (std::size_t p = 0; p < s.plan.wiring.parts.size(); ++p) {
            const WiredPart& part = s.plan.wiring.parts[p];
            const Drawing d = drawing::package_plan(s.bench, s.plan.wiring, int(p));
            std::map<std::string, int> seen;
            for (const Group* g : groups_with(d, "pin")) ++seen[data_of(*g, "pin")];
            const int pins = part.package ? int(part.package->pin_of_number.size()) : int(part.type->pins.size());
            EXPECT_EQ(int(seen.size()), pins) << s.name << " " << part.name;
            for (int n = 1; n <= pins; ++n)
                EXPECT_EQ(seen[std::to_string(n)], 1) << s.name << " " << part.name << "." << n;
        }
}

TEST(PackagePlan, HasEveryUsedChannelWithItsPins) {
    int channels = 0;
    for (const Subject& s : subjects())
        for (std::size_t p = 0; p < s.plan.wiring.parts.size(); ++p) {
            const WiredPart& part = s.plan.wiring.parts[p];
            if (!part.package) continue;
            const auto number = [&](int pin) {
                const auto& numbers = part.package->pin_of_number;
                return std::to_string(std::ranges::find(numbers, pin) - numbers.begin() + 1);
            };
            std::map<std::string, const Group*> drawn;
            const Drawing d = drawing::package_plan(s.bench, s.plan.wiring, int(p));
            for (const Group* g : groups_with(d, "channel")) drawn[data_of(*g, "channel")] = g;
            for (const Channel& c : part.type->channels) {
                if (c.inputs.empty() || c.output < 0) continue;
                if (part.net_of_pin[c.output] == unconnected || part.net_of_pin[c.inputs[0]] == unconnected) continue;
                const std::string key = number(c.inputs[0]) + "-" + number(c.output);
                ASSERT_TRUE(drawn.contains(key)) << s.name << " " << part.name << " " << key;
                EXPECT_FALSE(data_of(*drawn[key], "link").empty());
                ++channels;
            }
        }
    EXPECT_GT(channels, 30);
}

/// Pins of the 541: A1 is pin 2, Y1 pin 18, and pin 19 is the second enable (data sheet SN74HCT541, pin table).
TEST(PackagePlan, ShowsASideShiftedByOneRow) {
    const Subject s = example("rain-garden");
    bool found = false;
    for (std::size_t p = 0; p < s.plan.wiring.parts.size(); ++p) {
        const WiredPart& part = s.plan.wiring.parts[p];
        if (part.type->function != "541") continue;
        found = true;
        const Drawing d = drawing::package_plan(s.bench, s.plan.wiring, int(p));
        std::string all;
        for (const Label* label : drawing::labels_of(d)) all += label->text + " ";
        EXPECT_THAT(all, ::testing::HasSubstr("2 → 18 (not 19)"));
        // The line leaves one row lower than it came in.
        std::map<std::string, double> y;
        for (const Group* g : groups_with(d, "pin"))
            for (const drawing::Item& item : g->items)
                if (const auto* l = std::get_if<Label>(&item); l && l->text == data_of(*g, "pin")) y[l->text] = l->at.y;
        EXPECT_EQ(y["2"], y["19"]);
        EXPECT_GT(y["18"], y["2"]);
    }
    EXPECT_TRUE(found);
}

TEST(TiePointPlan, HasEveryWireWithItsNumberAtBothEnds) {
    for (const Subject& s : subjects()) {
        ASSERT_FALSE(s.placement.wires.empty()) << s.name;
        for (std::size_t b = 0; b < s.placement.boards.size(); ++b) {
            const Drawing d = drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, int(b), {});
            std::map<std::string, int> lines, ends;
            for (const Group* g : groups_with(d, "step")) ++lines[data_of(*g, "wire")];
            for (const Group* g : groups_with(d, "end")) {
                ++ends[data_of(*g, "wire")];
                ASSERT_EQ(words_in(*g).size(), 1u);
                EXPECT_EQ(words_in(*g)[0]->text, data_of(*g, "wire"));
            }
            for (const LaidWire& wire : s.placement.wires) {
                const bool loose = wire.from.kind != WireEnd::Kind::hole && wire.to.kind != WireEnd::Kind::hole;
                const bool here = in_hole(wire.from, int(b)) || in_hole(wire.to, int(b)) || (loose && b == 0);
                EXPECT_EQ(lines[std::to_string(wire.number)], here ? 1 : 0) << s.name << " wire " << wire.number;
                EXPECT_EQ(ends[std::to_string(wire.number)], here ? 2 : 0) << s.name << " wire " << wire.number;
            }
        }
    }
}

/// A hand finds a hole by the number of its row and the letter of its column.
TEST(TiePointPlan, NumbersStandInTheirRowAndColumn) {
    for (const Subject& s : subjects())
        for (std::size_t b = 0; b < s.placement.boards.size(); ++b) {
            const Drawing d = drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, int(b), {});
            std::map<std::string, double> row_y, column_x;
            for (const Group* g : groups_with(d, "row"))
                for (const Label* label : words_in(*g)) row_y[label->text] = label->at.y;
            ASSERT_EQ(int(row_y.size()), s.placement.boards[b]->rows);
            for (const drawing::Item& item : d.items)
                if (const auto* l = std::get_if<Label>(&item); l && l->text.size() == 1 && l->bold && l->size == 8)
                    column_x[l->text] = l->at.x;
            for (const Group* g : groups_with(d, "end")) {
                const LaidWire& wire = s.placement.wires[std::size_t(std::stoi(data_of(*g, "wire"))) - 1];
                const WireEnd& end = data_of(*g, "end") == "from" ? wire.from : wire.to;
                if (!in_hole(end, int(b))) continue;
                const Label* number = words_in(*g)[0];
                EXPECT_NEAR(number->at.y, row_y[std::to_string(end.hole.row)], 0.6);
                EXPECT_NEAR(number->at.x, column_x[s.placement.boards[b]->columns[end.hole.column].name], 0.1);
            }
        }
}

/// Points along a path, corners as they are.
std::vector<Point> corners(const drawing::Path& path) {
    std::vector<Point> out;
    for (const drawing::Step& step : path.steps) out.push_back(step.to);
    return out;
}

TEST(TiePointPlan, NoLineRunsThroughTheNumberOfAnotherWire) {
    for (const Subject& s : subjects())
        for (std::size_t b = 0; b < s.placement.boards.size(); ++b) {
            const Drawing d = drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, int(b), {});
            const auto ends = groups_with(d, "end");
            for (const Group* line : groups_with(d, "step")) {
                const std::vector<Point> at = corners(std::get<drawing::Path>(line->items.at(0)));
                for (const Group* end : ends) {
                    if (data_of(*end, "wire") == data_of(*line, "wire")) continue;
                    drawing::Box number = drawing::box_of(*words_in(*end)[0]);
                    number.y1 = words_in(*end)[0]->at.y;  // figures do not reach below their line
                    for (std::size_t k = 1; k < at.size(); ++k) {
                        const drawing::Box run{std::min(at[k - 1].x, at[k].x), std::min(at[k - 1].y, at[k].y),
                                               std::max(at[k - 1].x, at[k].x), std::max(at[k - 1].y, at[k].y)};
                        EXPECT_FALSE(number.touches(run, 0.3))
                            << s.name << ": wire " << data_of(*line, "wire") << " through " << data_of(*end, "wire");
                    }
                }
            }
        }
}

TEST(TiePointPlan, HighlightedWiresAreHeavierThanTheRest) {
    const Subject s = example("first-bench");
    const Drawing d = drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, 0, {.highlight = {2}});
    double chosen = 0, rest = 0;
    for (const Group* g : groups_with(d, "step")) {
        const double width = std::get<drawing::Path>(g->items.at(0)).stroke.width;
        (data_of(*g, "wire") == "2" ? chosen : rest) = std::max(data_of(*g, "wire") == "2" ? chosen : rest, width);
    }
    EXPECT_GT(chosen, 2 * rest);
}

TEST(TiePointPlan, SplitStripsAreTwoPieces) {
    const Subject s = example("first-bench");
    const Drawing d = drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, 0, {});
    std::map<std::string, int> pieces;
    for (const Group* g : groups_with(d, "strip")) ++pieces[data_of(*g, "strip")];
    EXPECT_EQ(pieces, (std::map<std::string, int>{{"s", 2}, {"t", 2}, {"x", 2}, {"y", 2}}));
}

/// Colour is never the only sign (WCAG 2.2, SC 1.4.1): the key counts each rail's wires by number.
TEST(TiePointPlan, TheKeyTellsRailsApartByNumbers) {
    const Subject s = example("rain-garden");
    const Drawing key = drawing::tie_point_key(s.bench, s.plan.wiring, s.placement);
    std::map<std::string, std::set<int>> said, laid;
    for (const Label* l : drawing::labels_of(key)) {
        const std::size_t at = l->text.find(": strips and wire");
        if (at == std::string::npos) continue;
        EXPECT_FALSE(l->text.ends_with("…")) << l->text;
        static const std::regex numbers(R"((\d+)(?:\.\.(\d+))?)");
        for (std::sregex_iterator n(l->text.begin() + std::ptrdiff_t(at), l->text.end(), numbers), end; n != end; ++n)
            for (int k = std::stoi((*n)[1]), last = (*n)[2].matched ? std::stoi((*n)[2]) : k; k <= last; ++k)
                EXPECT_TRUE(said[l->text.substr(0, at)].insert(k).second) << l->text;
    }
    for (const LaidWire& wire : s.placement.wires) {
        const auto net = drawing::net_words(s.bench, s.plan.wiring, wire.net);
        if (net.shared()) laid[net.ground ? "0 V, ground" : net.text].insert(wire.number);
    }
    EXPECT_EQ(laid.size(), 4u);
    EXPECT_EQ(said, laid);
}

/// A full board fits a page at its own size (drawing.h: A4 and Letter with 15 mm of margin).
TEST(TiePointPlan, AFullBoardFitsAPage) {
    const Subject s = example("rain-garden");
    for (std::size_t b = 0; b < s.placement.boards.size(); ++b)
        EXPECT_LE(drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, int(b), {}).height,
                  drawing::page_height);
}

/// Reviewed by eye; VOLTSILL_UPDATE=1 writes them anew.
void expect_golden(const std::string& name, const Drawing& d) {
    const std::string path = VOLTSILL_ROOT "/tests/drawing/golden/" + name, made = drawing::svg_file(d);
    if (std::getenv("VOLTSILL_UPDATE")) std::ofstream(path, std::ios::binary) << made;
    std::ifstream file(path, std::ios::binary);
    std::stringstream kept;
    kept << file.rdbuf();
    EXPECT_EQ(made, kept.str()) << "golden/" << name << ": look at it, then run this test with VOLTSILL_UPDATE=1";
}

TEST(Plans, Golden) {
    for (const char* name : {"first-bench", "up-shift"}) {
        const Subject s = example(name);
        expect_golden(std::string(name) + "-board.svg",
                      drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, 0, {}));
        for (std::size_t p = 0; p < s.plan.wiring.parts.size(); ++p)
            if (s.plan.wiring.parts[p].added && s.plan.wiring.parts[p].package &&
                s.plan.wiring.parts[p].package->pin_of_number.size() > 3)
                expect_golden(std::string(name) + "-" + s.plan.wiring.parts[p].name + ".svg",
                              drawing::package_plan(s.bench, s.plan.wiring, int(p)));
    }
}

}  // namespace
}  // namespace voltsill
