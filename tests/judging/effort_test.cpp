/// What is said when the work runs out, wherever that is: no answer is not a good answer.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "judging/inspection.h"
#include "support/how_many.h"

namespace voltsill {
namespace {

struct Case {
    std::string name;
    Bench bench;
    Wiring wiring;
};

std::vector<Case> examples() {
    std::vector<Case> out;
    for (const auto& file : std::filesystem::directory_iterator(VOLTSILL_ROOT "/examples")) {
        if (file.path().extension() != ".toml") continue;
        std::ifstream in(file.path(), std::ios::binary);
        std::stringstream bytes;
        bytes << in.rdbuf();
        const std::string name = file.path().filename().string();
        BenchReading reading = read_bench(bytes.str(), name);
        EXPECT_TRUE(reading.bench) << name;
        if (!reading.bench || reading.bench->links.size() > 40) continue;
        Problems problems;
        Wiring wiring = reading.bench->wiring ? wire_as_given(*reading.bench, problems) : wire_directly(*reading.bench);
        out.push_back({name, std::move(*reading.bench), std::move(wiring)});
    }
    return out;
}

/// The judgement when solving ends after this much work, and the work that was done.
std::pair<Judgement, double> judged_within(const Case& c, double most_work) {
    Inspection in{.bench = c.bench, .wiring = c.wiring, .circuit = lower(c.bench, c.wiring)};
    in.index();
    in.effort.most_work = most_work;
    in.scenes = scenes_of(c.bench, in.circuit, in.effort);
    Judgement j = judged(in);
    return {std::move(j), in.effort.work};
}

TEST(Effort, AJudgementCutShortSaysSoAndInventsNothing) {
    for (const Case& c : examples()) {
        const auto [whole, work] = judged_within(c, 1e300);
        EXPECT_TRUE(whole.trouble.empty()) << c.name;
        const int cuts = static_cast<int>(made::how_many(24));
        for (int k = 0; k < cuts; ++k) {
            const auto [part, done] = judged_within(c, work * k / cuts);
            EXPECT_NE(part.trouble.find("more states than were looked at"), std::string::npos) << c.name << " " << k;
            EXPECT_GE(part.verdict, Verdict::unknown) << c.name << " " << k;
            ASSERT_EQ(part.links.size(), whole.links.size());
            for (const Finding& f : part.findings) {
                EXPECT_TRUE(std::isfinite(f.margin)) << c.name << " " << f.code;
                EXPECT_FALSE(f.sentence.empty()) << c.name << " " << f.code;
                EXPECT_TRUE(!f.value || std::isfinite(f.value->value)) << c.name << " " << f.code;
            }
        }
        // With all the work that it takes nothing is missing, and a second run says the same.
        EXPECT_EQ(judged_within(c, work).first.findings.size(), whole.findings.size()) << c.name;
    }
}

}  // namespace
}  // namespace voltsill
