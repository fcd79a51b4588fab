// How columns share a page: laws, whatever their words.
#include "printing/pieces.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numeric>

namespace voltsill::printing {
namespace {

double sum(const std::vector<double>& all) { return std::accumulate(all.begin(), all.end(), 0.0); }

struct Columns {
    std::vector<double> natural, least;
    double room = 0;
};

Columns some_columns() {
    Columns out;
    for (int k = *rc::gen::inRange(1, 9); k > 0; --k) {
        out.natural.push_back(*rc::gen::inRange(1, 900));
        out.least.push_back(std::min<double>(out.natural.back(), *rc::gen::inRange(1, 300)));
    }
    out.room = *rc::gen::inRange(50, 800);
    return out;
}

RC_GTEST_PROP(SharedOut, FillsTheRoomAndNoMore, ()) {
    const auto [natural, least, room] = some_columns();
    const auto widths = shared_out(natural, least, room);
    RC_ASSERT(sum(widths) <= std::max(room, 0.0) + 1e-6);
    for (std::size_t c = 0; c < widths.size(); ++c) RC_ASSERT(widths[c] <= natural[c] + 1e-9);
    if (sum(natural) <= room)
        RC_ASSERT(widths == natural);
    else
        RC_ASSERT(sum(widths) >= room - 1e-3);
    if (sum(least) <= room)
        for (std::size_t c = 0; c < widths.size(); ++c) RC_ASSERT(widths[c] >= least[c] - 1e-6);
    // Who wants more gets no less.
    if (sum(least) > room)
        for (std::size_t a = 0; a < widths.size(); ++a)
            for (std::size_t b = 0; b < widths.size(); ++b)
                if (least[a] >= least[b]) RC_ASSERT(widths[a] >= widths[b] - 1e-6);
}

RC_GTEST_PROP(SharedByNeed, GivesEveryColumnItsLongestWordAndSentencesTheRest, ()) {
    const auto [natural, least, room] = some_columns();
    const auto widths = shared_by_need(natural, least, room);
    RC_ASSERT(sum(widths) <= room + 1e-6);
    if (sum(natural) <= room || sum(least) > room) {
        RC_ASSERT(widths == shared_out(natural, least, room));
        return;
    }
    RC_ASSERT(sum(widths) >= room - 1e-3);
    for (std::size_t a = 0; a < widths.size(); ++a) {
        RC_ASSERT(widths[a] >= least[a] - 1e-6);
        RC_ASSERT(widths[a] <= natural[a] + 1e-6);
        for (std::size_t b = 0; b < widths.size(); ++b)
            if (natural[a] - least[a] >= natural[b] - least[b])
                RC_ASSERT(widths[a] - least[a] >= widths[b] - least[b] - 1e-6);
    }
}

/// Two columns of names with one long name in each leave a column of sentences its room.
TEST(TablePieces, SentencesGetRoomBesideNames) {
    const std::string sentence =
        "U3.2 (A1) gets 4.214 V, 513 mV more than it stands; its protection diode carries 24.9 mA.";
    doc::Table table{.columns = {{"in place of"}, {"this part"}, {"because"}}};
    for (int k = 0; k < 9; ++k) table.rows.push_back({{"LVC 541"}, {"HCT 541"}, {sentence}});
    table.rows.push_back({{"n-mosfet 1.5 V threshold"}, {"n-mosfet 1 V threshold"}, {"smallest margin 0.238 V"}});
    const Letters letters;
    constexpr double two_lines = 2 * 8.5 * 1.3 + 5;
    for (const Piece& piece : table_pieces(letters, table, 0, 360)) EXPECT_LE(piece.height, two_lines);
    // Where all are names, none is broken for the room of another.
    table.rows = {{{"n-mosfet 1.5 V threshold"}, {"n-mosfet 1 V threshold"}, {"n-mosfet 1.5 V threshold"}}};
    for (const Piece& piece : table_pieces(letters, table, 0, 420)) EXPECT_LE(piece.height, two_lines / 2 + 3);
}

}  // namespace
}  // namespace voltsill::printing
