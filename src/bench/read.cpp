/// A bench file from bytes to a `Bench`, or to everything that is wrong with it.
#include <algorithm>

#include "bench/bench_work.h"
#include "quantity/print.h"
#include "records/in_order.h"

namespace voltsill {
namespace {

/// More than a bench can hold, and few enough that every step stays quick (our choice).
constexpr std::size_t most_entries = 4096;

bool small_enough(const BenchFile& file, Reader& reader) {
    const std::pair<const char*, std::size_t> sizes[] = {
        {"rails", file.rails.size()},
        {"parts", file.parts.size()},
        {"links", file.links.size()},
        {"stock", file.stock.size()},
        {"types", file.types.size()},
        {"boards", file.boards.kinds.size()},
        {"wiring", file.wiring ? std::max(file.wiring->parts.size(), file.wiring->wires.size() / 4) : 0}};
    bool good = true;
    for (const auto& [key, size] : sizes) {
        if (size <= most_entries) continue;
        good = false;
        reader.error(file.keys.find(key)->key_spot, "too-many-entries",
                     std::string("more entries in ") + key + " than a bench can hold",
                     "at most " + std::to_string(most_entries));
    }
    return good;
}

void take_ambient(const BenchFile& file, Reader& reader, Bench& bench) {
    if (!file.ambient) return;
    // The widest range that parts are rated for, with room to spare (common practice).
    constexpr Celsius coldest{-65}, hottest{175};
    bench.ambient_lo = file.ambient->lo;
    bench.ambient_hi = file.ambient->hi;
    if (bench.ambient_lo < coldest || bench.ambient_hi > hottest)
        reader.error(file.keys.find("ambient")->value_spot, "out-of-range",
                     "no part is rated for " + print(*file.ambient),
                     print(coldest) + " to " + print(hottest));
}

template <class Q>
void take_wish(const WishesRecord& record, const char* key, const std::optional<Q>& value, Q highest, Q& out,
               Reader& reader) {
    if (!value) return;
    out = *value;
    if (out < Q{} || out > highest)
        reader.error(record.keys.find(key)->value_spot, "out-of-range", print(out) + " is out of range",
                     "0 to " + print(highest));
}

void take_wishes(const BenchFile& file, Reader& reader, Bench& bench) {
    const WishesRecord& record = file.wishes;
    bench.wishes = record.weights;
    take_wish(record, "margin", record.margin, highest_bench_volts, bench.wishes.margin, reader);
    take_wish(record, "wire_capacitance", record.wire_capacitance, Farads{1e-6},
              bench.wishes.wire_capacitance, reader);
    take_wish(record, "wire_inductance", record.wire_inductance, Henries{1e-3}, bench.wishes.wire_inductance,
              reader);
    take_wish(record, "probe_capacitance", record.probe_capacitance, Farads{1e-6},
              bench.wishes.probe_capacitance, reader);
}

/// A file that says nothing, or only what is around a bench.
bool refuse_empty(const BenchFile& file, const Value& root, Reader& reader) {
    if (!file.parts.empty() || !file.links.empty() || root.damaged || !reader.ok()) return false;
    Problem problem;
    problem.code = "empty-bench";
    problem.place.file = reader.source().file();
    problem.message = "nothing on this bench: there are no parts";
    problem.expected =
        "[rails], [parts] and [[links]], for instance: parts.gauge = { type = \"tank-gauge-5v\", "
        "supply = \"usb\" }";
    reader.add(std::move(problem));
    return true;
}

void take_entries(BenchWork& work) {
    take_rails(work);
    take_parts(work);
    take_rail_sources(work);
    take_links(work);
    check_supplies(work);
    take_stock(work);
    take_boards(work);
    take_wiring(work);
    if (!work.reader.ok()) return;
    check_use(work);
    if (work.bench.links.empty()) {
        Problem problem;
        problem.severity = Severity::warning;
        problem.code = "no-links";
        problem.place.file = work.reader.source().file();
        problem.message = "this bench has no links: no signal is judged";
        problem.expected = "[[links]] with `from` and `to`";
        work.reader.add(std::move(problem));
    }
}

}  // namespace

BenchReading read_bench(std::string_view bytes, const std::string& file, const Includer& include) {
    const ParsedText parsed = parse_toml(bytes, file);
    Reader reader(parsed);
    const BenchFile records = read(bench_file_shape(), parsed.root, reader);
    Bench bench;
    BenchTypes types;
    if (small_enough(records, reader) && !refuse_empty(records, parsed.root, reader)) {
        bench.title = records.title;
        bench.about = records.about;
        take_ambient(records, reader, bench);
        take_wishes(records, reader, bench);
        types = bench_types(records, file, include, reader);
        bench.catalogue = types.catalogue;
        BenchWork work{records, reader, bench, {}, {}, types.described};
        take_entries(work);
    }
    BenchReading reading;
    reading.problems = reader.take();
    reading.problems.insert(reading.problems.end(), types.problems.begin(), types.problems.end());
    if (types.missing) drop_what_is_missing(reading.problems);
    put_in_order(reading.problems, file);
    if (!has_error(reading.problems)) reading.bench = std::move(bench);
    return reading;
}

}  // namespace voltsill
