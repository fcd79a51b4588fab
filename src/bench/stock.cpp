/// The drawer: names of the catalogue with counts, and resistors by series and span.
#include <algorithm>

#include "bench/bench_work.h"
#include "parts/pin_list.h"
#include "quantity/preferred.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

std::string lower(std::string text) {
    for (char& c : text)
        if ('A' <= c && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return text;
}

/// The type whose words open the name, and the words that are left: "DIP-20", "E24".
struct Match {
    const PartType* type = nullptr;
    std::vector<std::string> left;
};

Match match(const Catalogue& catalogue, const std::string& name) {
    const std::vector<std::string> words = split_words(lower(name));
    Match best;
    std::size_t longest = 0;
    for (const auto& type : catalogue.types()) {
        const std::vector<std::string> of_type = split_words(lower(type->name));
        if (of_type.size() <= longest || of_type.size() > words.size()) continue;
        if (!std::equal(of_type.begin(), of_type.end(), words.begin())) continue;
        longest = of_type.size();
        best.type = type.get();
    }
    best.left.assign(words.begin() + static_cast<std::ptrdiff_t>(longest), words.end());
    return best;
}

bool understood(const PartType& type, const std::string& word) {
    if (type.kind == PartKind::resistor || type.kind == PartKind::capacitor) {
        std::string series = word;
        if (series.front() == 'e') series.front() = 'E';
        if (find_series(series)) return true;
    }
    return std::ranges::any_of(type.packages, [&](const Package& p) { return lower(p.name) == word; });
}

void take_item(BenchWork& work, const Named<StockRecord>& named) {
    const StockRecord& record = named.value;
    const Catalogue& catalogue = *work.bench.catalogue;
    const Match found = match(catalogue, named.name);
    if (!found.type) {
        Problem problem =
            work.reader.source().problem(spot_of(named.place), "unknown-stock",
                                         "nothing in the catalogue is called " + in_quotes(named.name),
                                         "a type, with its package if you like: \"LVC 541 DIP-20\"");
        problem.severity = Severity::warning;
        problem.nearest = nearest_name(named.name, catalogue.names());
        work.reader.add(std::move(problem));
    } else {
        for (const std::string& word : found.left)
            if (!understood(*found.type, word))
                work.warn(spot_of(named.place), "unknown-stock",
                          in_quotes(word) + " is neither a package of " + in_quotes(found.type->name) +
                              " nor a series of preferred numbers");
    }
    if (record.span && found.type && found.type->kind != PartKind::resistor)
        work.reader.error(record.at->spot, "no-span", "only resistors are stocked as a span",
                          "a count such as 3");
    work.bench.stock.push_back({named.name, record.count, record.span, named.place});
}

}  // namespace

void take_stock(BenchWork& work) {
    work.bench.has_stock = work.file.keys.find("stock") != nullptr;
    for (const Named<StockRecord>& named : work.file.stock) take_item(work, named);
}

}  // namespace voltsill
