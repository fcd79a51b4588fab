/// What slips do, by the judge, and where to look twice.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <map>
#include <optional>
#include <set>
#include <thread>

#include "placement/join_harm.h"
#include "placement/slip_nets.h"
#include "placement/slips.h"

namespace voltsill {
namespace {

SlipHarm worst_of(const Harm& harm) {
    SlipHarm out;
    if (harm.harmful)
        out.verdict = Verdict::harmful;
    else if (harm.unknown || !harm.trouble.empty())
        out.verdict = Verdict::unknown;
    if (!harm.findings.empty()) {
        const Finding& worst = harm.findings.front();
        out.part = worst.part, out.pin = worst.pin, out.code = worst.code, out.sentence = worst.sentence;
    } else if (!harm.trouble.empty()) {
        out.code = "not-solved";
        out.sentence = "What this does could not be computed, so it may harm: " + harm.trouble + ".";
    }
    return out;
}

SlipHarm judged(const HarmJudge& judge, const Wiring& made, bool only_harm) {
    SlipHarm out = worst_of(judge.first_harm_of(made));
    if (only_harm || out.verdict != Verdict::safe) return out;
    if (const auto worst = judge.first_failure_of(made)) {
        out.verdict = worst->verdict;
        out.part = worst->part, out.pin = worst->pin, out.code = worst->code, out.sentence = worst->sentence;
    }
    return out;
}

/// Half rows and strips a slip concerns.
class Rows {
  public:
    Rows(const Placement& placement) : placement_(placement) {}
    void count(const SlipHarm& harm) {
        std::set<std::tuple<int, int, int, std::string>> met;
        for (const Hole& hole : places(harm.slip)) {
            const BoardColumn& column = placement_.boards[hole.board]->columns[hole.column];
            met.insert({hole.board, column.strip ? 0 : hole.row, column.strip ? 0 : column.side,
                        column.strip ? column.name : std::string{}});
        }
        for (const auto& place : met) {
            RowToCheck& row = rows_[place];
            ++(harm.verdict == Verdict::harmful ? row.harmful : row.unknown);
        }
    }
    std::vector<RowToCheck> sorted() const {
        std::vector<RowToCheck> out;
        for (const auto& [place, counted] : rows_) {
            RowToCheck row = counted;
            std::tie(row.board, row.row, row.side, row.strip) = place;
            row.words = named(row);
            out.push_back(std::move(row));
        }
        std::ranges::stable_sort(out, [](const RowToCheck& a, const RowToCheck& b) {
            return std::pair(-a.harmful, -a.unknown) < std::pair(-b.harmful, -b.unknown);
        });
        return out;
    }

  private:
    /// Where the right place was: that is where an eye looks.
    std::vector<Hole> places(const Slip& slip) const {
        std::vector<Hole> out;
        const auto take = [&](int wire, bool from) {
            const WireEnd& end = from ? placement_.wires[wire].from : placement_.wires[wire].to;
            if (end.kind == WireEnd::Kind::hole) out.push_back(end.hole);
        };
        if (slip.kind == SlipKind::wire_missing)
            take(slip.wire, true), take(slip.wire, false);
        else if (slip.wire >= 0)
            take(slip.wire, slip.at_from);
        if (slip.other >= 0) take(slip.other, slip.other_at_from);
        if (slip.part >= 0)
            out.push_back(placement_.parts[slip.part].holes[slip.lead > 0 ? slip.lead - 1 : 0]);
        return out;
    }
    std::string named(const RowToCheck& row) const {
        const BoardKind& board = *placement_.boards[row.board];
        const std::string on = placement_.boards.size() == 1
                                   ? ""
                                   : fmt::format("board {}, ", board_letters(row.board));
        if (!row.strip.empty()) return fmt::format("{}strip {}", on, row.strip);
        std::string first, last;
        for (const BoardColumn& column : board.columns)
            if (!column.strip && column.side == row.side) {
                if (first.empty()) first = column.name;
                last = column.name;
            }
        return fmt::format("{}row {}, {} to {}", on, row.row, first, last);
    }

    const Placement& placement_;
    std::map<std::tuple<int, int, int, std::string>, RowToCheck> rows_;
};

}  // namespace

Wiring wiring_of(const Bench& bench, const Wiring& wiring, const Placement& placement) {
    Wiring made = nets_of_holes(bench, wiring, placement);
    for (const auto& [kept, gone] : shorts(bench, wiring, placement))
        for (Net& net : made.nets)
            if (!net.rail.empty() && "rail " + net.rail == gone) net.rail.clear();
    const PlacedNodes nodes(bench, wiring, placement);
    for (const Rail& rail : bench.rails)
        if (is_reversed(nodes, rail)) made.nets[made.rail(rail.name)].rail.clear();
    return made;
}

std::vector<SlipHarm> judge_slips(const Bench& bench, const Wiring& wiring, const Placement& placement,
                                  std::span<const Slip> slips, const SlipOptions& options) {
    const Wiring base = wiring_of(bench, wiring, placement);
    const SlipNets nets(bench, wiring);
    std::map<SlipNets::Key, std::size_t> made_by;
    std::vector<std::size_t> like;  // by slip: the first that makes the same nets
    for (std::size_t k = 0; k < slips.size(); ++k)
        like.push_back(made_by.try_emplace(nets.of(with_slip(placement, slips[k])), k).first->second);

    std::vector<std::optional<SlipHarm>> harms(slips.size());
    std::vector<char> asked(slips.size());
    std::atomic<std::size_t> next = 0, done = 0;
    std::atomic<bool> stopped = false;
    const auto work = [&](bool tells) {
        const HarmJudge judge(bench, base);
        for (std::size_t k; !stopped && (k = next++) < slips.size(); ++done) {
            if (tells && options.progress &&
                !options.progress(static_cast<int>(done), static_cast<int>(slips.size()))) {
                stopped = true;
                return;
            }
            if (like[k] == k)
                harms[k] = judged(judge, wiring_of(bench, wiring, with_slip(placement, slips[k])), options.only_harm);
            asked[k] = true;
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (int k = 1; k < options.threads; ++k) helpers.emplace_back(work, false);
        work(true);
    }
    std::vector<SlipHarm> out;
    for (std::size_t k = 0; k < slips.size() && asked[k] && harms[like[k]]; ++k) {
        out.push_back(*harms[like[k]]);
        out.back().slip = slips[k];
    }
    return out;
}

SlipReport slip_report(const Bench& bench, const Wiring& wiring, const Placement& placement,
                       const SlipOptions& options) {
    SlipReport report;
    Rows rows(placement);
    for (SlipHarm& harm :
         judge_slips(bench, wiring, placement, slips_of(bench, wiring, placement), options)) {
        ++report.slips;
        ++(harm.verdict == Verdict::harmful      ? report.harmful
           : harm.verdict == Verdict::unknown    ? report.unknown
           : harm.verdict == Verdict::unreadable ? report.fails
           : harm.verdict == Verdict::thin       ? report.thin
                                                 : report.same);
        if (harm.verdict == Verdict::harmful || harm.verdict == Verdict::unknown) rows.count(harm);
        if (harm.verdict != Verdict::safe) report.worst.push_back(std::move(harm));
    }
    const auto rank = [](const SlipHarm& h) {  // what may harm comes before what merely fails
        return h.verdict == Verdict::harmful      ? 0
               : h.verdict == Verdict::unknown    ? 1
               : h.verdict == Verdict::unreadable ? 2
                                                  : 3;
    };
    std::ranges::stable_sort(report.worst, {}, rank);
    report.rows = rows.sorted();
    report.sentence =
        fmt::format("Of {} possible single slips {} could harm something{}.", report.slips, report.harmful,
                    report.unknown == 0 ? "" : fmt::format(", and of {} it is not known", report.unknown));
    return report;
}

}  // namespace voltsill
