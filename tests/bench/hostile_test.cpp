// Whatever the bytes are, there is an answer: a bench, or at least one error.
#include <random>

#include "sample.h"
#include "support/how_many.h"

namespace {

using namespace voltsill;

void expect_an_answer(const std::string& text) {
    const BenchReading reading =
        sample::read(text, [](const std::string& path) -> std::optional<std::string> {
            return path == "odd.toml" ? std::optional<std::string>("[types.x]\nlike = \"x\"\n")
                                      : std::nullopt;
        });
    ASSERT_EQ(reading.bench.has_value(), !has_error(reading.problems)) << text;
    for (const Problem& problem : reading.problems) ASSERT_FALSE(render(problem).empty());
    if (!reading.bench) return;
    for (const Rail& rail : reading.bench->rails) {
        ASSERT_GE(rail.volts.span.lo, Volts{0}) << text;
        ASSERT_LE(rail.volts.span.hi, highest_bench_volts) << text;
        ASSERT_GT(rail.volts.span.nominal, Volts{0}) << text;
    }
    for (const Link& link : reading.bench->links)
        for (const auto* ends : {&link.from, &link.to}) {
            ASSERT_FALSE(ends->empty()) << text;
            for (const PinRef& end : *ends)
                ASSERT_GE(reading.bench->part(end.part)->type->pin_index(end.pin), 0);
        }
}

/// Pieces that mean something in a bench file, at random places.
const char* const pieces[] = {"\"",      "\n",     "[",          "]",           "{",
                              "}",       "=",      ".",          "[[links]]\n", "usb",
                              "logic",   "gauge.", "controller", "-",           "nan",
                              "inf",     "1e999",  "µ",          "°C",          "\x80",
                              "\xff",    "..",     "±",          "[types.x]\n", "from",
                              "\\u0000", "''",     "#",          ",",           "include = \"odd.toml\"\n",
                              "true",    "[]"};

std::string mutated(std::mt19937& random) {
    std::string text = sample::bench;
    const auto below = [&](std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
    };
    for (std::size_t changes = 1 + below(4); changes > 0 && !text.empty(); --changes) {
        const std::size_t at = below(text.size());
        switch (below(6)) {
            case 0:
                text[at] = static_cast<char>(below(256));
                break;
            case 1:
                text.erase(at, 1 + below(40));
                break;
            case 2:
                text.insert(at, pieces[below(std::size(pieces))]);
                break;
            case 3: {  // exchange two words
                const std::size_t other = below(text.size());
                const std::size_t length = std::min({1 + below(12), text.size() - at, text.size() - other});
                for (std::size_t i = 0; i < length; ++i) std::swap(text[at + i], text[other + i]);
                break;
            }
            case 4:
                text.insert(at, text.substr(below(text.size()), 1 + below(60)));
                break;
            case 5: {  // a line goes, or comes twice
                const std::size_t begin = text.rfind('\n', at) + 1,
                                  end = std::min(text.find('\n', at), text.size() - 1);
                const std::string line = text.substr(begin, end + 1 - begin);
                if (below(2))
                    text.insert(begin, line);
                else
                    text.erase(begin, line.size());
                break;
            }
        }
    }
    return text;
}

TEST(HostileBench, EveryMutationHasAnAnswer) {
    std::mt19937 random(20260101);
    for (unsigned i = 0; i < voltsill::made::how_many(20000); ++i) {
        expect_an_answer(mutated(random));
        if (HasFatalFailure()) return;
    }
}

TEST(HostileBench, EveryBeginningHasAnAnswer) {
    for (std::size_t length = 0; length <= sample::bench.size(); length += 3) {
        expect_an_answer(sample::bench.substr(0, length));
        if (HasFatalFailure()) return;
    }
}

TEST(HostileBench, TablesWhereOthersBelong) {
    for (const char* key : {"title", "about", "ambient", "include", "rails", "parts", "links", "stock",
                            "types", "wishes", "wiring", "rails.a", "parts.a", "stock.a", "types.a",
                            "wishes.weights", "wiring.parts", "wiring.parts.a", "wiring.wires"})
        for (const char* value : {"1", "1.5", "true", "\"\"", "\"x\"", "[]", "[1]", "[[]]", "[[1, 2]]", "{}",
                                  "[{}]", "{ a = 1 }", "{ a = {} }", "1979-05-27"}) {
            expect_an_answer(std::string(key) + " = " + value + "\n");
            expect_an_answer(std::string(key) + " = " + value + "\nparts.z = \"push-button\"\n");
            if (HasFatalFailure()) return;
        }
}

}  // namespace
