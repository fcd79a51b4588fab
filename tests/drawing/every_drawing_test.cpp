/// Every kind of drawing over every example and 200 benches made at random: no words over words, none cut
/// off, none too small, nothing without a name. A new kind of drawing joins by a line in `builders`.
#include <functional>

#include "drawing/circuit_link.h"
#include "drawing/package_plan.h"
#include "drawing/rail_map.h"
#include "drawing/tie_point_plan.h"
#include "subject.h"
#include "support/drawing_faults.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

using drawing::Drawing;
using Builder = std::function<std::vector<Drawing>(const Subject&)>;

const std::vector<std::pair<std::string, Builder>>& builders() {
    static const std::vector<std::pair<std::string, Builder>> all{
        {"package plans",
         [](const Subject& s) {
             std::vector<Drawing> out;
             for (std::size_t p = 0; p < s.plan.wiring.parts.size(); ++p)
                 out.push_back(drawing::package_plan(s.bench, s.plan.wiring, int(p)));
             return out;
         }},
        {"tie-point plans",
         [](const Subject& s) {
             std::vector<Drawing> out;
             for (std::size_t b = 0; b < s.placement.boards.size(); ++b)
                 out.push_back(drawing::tie_point_plan(s.bench, s.plan.wiring, s.placement, int(b), {}));
             return out;
         }},
        {"maps of rails",
         [](const Subject& s) {
             std::vector<Drawing> out = drawing::rail_maps(s.bench, &s.plan.wiring, &s.plan.judgement);
             out.push_back(drawing::rail_map(s.bench, &s.plan.wiring, &s.plan.judgement));
             out.push_back(drawing::rail_map(s.bench, nullptr, &s.plan.before));
             return out;
         }},
        {"circuits of links",
         [](const Subject& s) {
             std::vector<Drawing> out;
             for (const Link& link : s.bench.links)
                 out.push_back(drawing::link_circuit(s.bench, s.plan.wiring, link.name));
             return out;
         }},
        {"keys of tie-point plans",
         [](const Subject& s) {
             return std::vector{drawing::tie_point_key(s.bench, s.plan.wiring, s.placement)};
         }},
    };
    return all;
}

void expect_no_faults(const Subject& s) {
    for (const auto& [kind, build] : builders())
        for (const Drawing& d : build(s))
            for (const std::string& fault : made::drawing_faults(d))
                ADD_FAILURE() << s.name << ", " << kind << ", " << d.title << ": " << fault;
}

TEST(EveryDrawing, OfEveryExample) {
    for (const std::string& name : example_names()) expect_no_faults(example(name));
}

TEST(EveryDrawing, OfMadeBenches) {
    unsigned drawn = 0;
    const unsigned wanted = made::how_many(200);
    for (unsigned seed = 1; drawn < wanted && seed < 400; ++seed) {
        const int links = seed % 50 == 0 ? 12 : 1 + int(seed % 2);  // planning is what takes time
        const auto s = subject("made " + std::to_string(seed), made::bench(seed, links), seed % 3 ? 63 : 30);
        if (!s) continue;
        ++drawn;
        expect_no_faults(*s);
        if (HasFailure()) break;  // one bench says enough
    }
    EXPECT_TRUE(drawn == wanted || HasFailure()) << drawn;
}

/// The check itself finds what it is for.
TEST(EveryDrawing, FaultsAreFound) {
    Drawing d{.width = 100, .height = 50, .title = "t", .description = "d", .items = {}};
    EXPECT_TRUE(made::drawing_faults(d).empty());
    const auto faults_with = [&](drawing::Item item) {
        Drawing more = d;
        more.items.push_back(drawing::Label{.at = {10, 20}, .text = "words"});
        more.items.push_back(std::move(item));
        return made::drawing_faults(more).size();
    };
    EXPECT_EQ(faults_with(drawing::Label{.at = {60, 20}, .text = "words"}), 0u);
    EXPECT_EQ(faults_with(drawing::Label{.at = {12, 22}, .text = "words"}), 1u);
    EXPECT_EQ(faults_with(drawing::Label{.at = {90, 20}, .text = "words"}), 1u);
    EXPECT_EQ(faults_with(drawing::Label{.at = {60, 20}, .text = "w", .size = 6}), 1u);
    EXPECT_EQ(faults_with(drawing::box(5, 10, 10, 20, drawing::Tone::paper, {})), 1u);
    EXPECT_EQ(faults_with(drawing::box(5, 10, 10, 20, {}, {})), 0u);
    const double askew = 30;  // a corner of its own box would reach the words, the shape does not
    EXPECT_EQ(faults_with(drawing::polygon({{5, 45}, {5 + askew, 45 - askew}, {9 + askew, 49 - askew}, {9, 49}},
                                           drawing::Tone::paper, {})), 1u);
    EXPECT_EQ(faults_with(drawing::polygon({{35, 49}, {35 + askew, 49 - askew}, {39 + askew, 53 - askew}, {39, 53}},
                                           drawing::Tone::paper, {})), 0u);
    EXPECT_EQ(faults_with(drawing::Group{.title = "", .data = {{"Part", "U1"}}, .items = {}}), 2u);
}

}  // namespace
}  // namespace voltsill
