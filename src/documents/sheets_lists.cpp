/// Lists to hand out or to keep: the kit, exercises, changes.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "documents/sheets_teaching.h"
#include "quantity/print.h"

namespace voltsill {

namespace {

std::string rates_words(const SpareRates& r) {
    return fmt::format(
        "Spares, as shares of what goes out (common practice, no source, unless the course has its own): integrated "
        "circuits {}, transistors {}, diodes {}, modules {}, resistors {}, capacitors {}, boards {}, wires {}.",
        print_percent(r.integrated_circuit), print_percent(r.transistor), print_percent(r.diode),
        print_percent(r.module), print_percent(r.resistor), print_percent(r.capacitor), print_percent(r.board),
        print_percent(r.wire));
}

}  // namespace

doc::Document kit_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Parts list: " + bench.title, {}};
    out.blocks.push_back(
        doc::paragraph({"Version ", doc::code(sheets.version),
                        fmt::format(", for {} {}. {}", sheets.seats, sheets.seats == 1 ? "seat" : "seats",
                                    rates_words(sheets.spares))}));
    doc::Table table{.columns = {{"what"},
                                 {"a seat", doc::Align::right, false},
                                 {"seats", doc::Align::right, false},
                                 {"spares", doc::Align::right, false},
                                 {"total", doc::Align::right, false},
                                 {"out", doc::Align::center, false},
                                 {"back", doc::Align::center, false},
                                 {"names or wire numbers"}}};
    for (const KitEntry& entry : sheets.kit)
        table.rows.push_back({{entry.what},
                              {std::to_string(entry.per_seat)},
                              {std::to_string(entry.seats)},
                              {std::to_string(entry.spares)},
                              {doc::strong(std::to_string(entry.total()))},
                              {doc::tick("counted out: " + entry.what)},
                              {doc::tick("counted back: " + entry.what)},
                              {entry.names}});
    out.blocks.push_back(std::move(table));
    append(out.blocks, stock_blocks(sheets.stock));
    return out;
}

doc::Document exercise_sheet(const Bench& bench, const Sheets& sheets) {
    doc::Document out{"Exercises: " + bench.title, {}};
    const std::string controller = controller_of(bench);
    if (sheets.exercises.empty()) {
        out.blocks.push_back(doc::paragraph({"No part of this bench has pins that a program sets."}));
        return out;
    }
    out.blocks.push_back(doc::paragraph(
        {"One small program a link, on ", doc::strong(controller),
         ". Lowest rate first; the levels are those of the test sheet. exercise.sh does the static part on a "
         "Linux GPIO character device."}));
    for (const Exercise& e : sheets.exercises) {
        out.blocks.push_back(doc::heading(3, {e.link}));
        doc::Steps steps;
        const std::string own = controller + "." + e.pin;
        if (!e.digital)
            steps.items.push_back({{"Convert ", doc::code(own), " once a second and print the number; hold ",
                                    doc::code(e.driver), " at two known voltages."},
                                   {}});
        for (const ExpectedLevel& x : e.expected) {
            const std::string reads = x.level == '1'   ? ", which reads high"
                                      : x.level == '0' ? ", which reads low"
                                                       : "";
            const std::string at =
                x.set == 'A' ? fmt::format("{} goes over {}", x.point, meter_words(x.lo, x.hi))
                             : fmt::format("{} is at {}{}", x.point, meter_words(x.lo, x.hi), reads);
            if (e.drives)
                steps.items.push_back(
                    {{"Set ", doc::code(own), " " + set_words(x.set) + ": " + at + "."}, {}});
            else
                steps.items.push_back({{doc::code(e.driver), " " + set_words(x.set) + ": " + at + "."}, {}});
        }
        if (e.rate)
            steps.items.push_back(
                {{fmt::format("Then {} at up to {}, and count what arrives.",
                              e.drives ? "toggle it" : "let it change", print(*e.rate, {.digits = 4}))},
                 {}});
        out.blocks.push_back(std::move(steps));
    }
    return out;
}

namespace {

std::string change_words(const Change& c) {
    switch (c.kind) {
        case Change::Kind::added:
            return fmt::format("{} {} is new: {}", c.what, c.name, c.is);
        case Change::Kind::removed:
            return fmt::format("{} {} is gone; it was: {}", c.what, c.name, c.was);
        default:
            return fmt::format("{} {}: {} in place of {}", c.what, c.name, c.is, c.was);
    }
}

}  // namespace

doc::Document change_sheet(const Bench& bench, const Sheets& sheets, const ChangeList& list) {
    doc::Document out{"Changes: " + bench.title, {}};
    out.blocks.push_back(doc::paragraph(
        {"From version ", doc::code(list.old_version), " to version ", doc::code(sheets.version), "."}));
    if (list.changes.empty())
        out.blocks.push_back(doc::paragraph({list.old_version == sheets.version
                                                 ? "Nothing changed."
                                                 : "No rail, part, link or wire changed: what differs are "
                                                   "figures of parts, wishes or comments."}));
    doc::BulletList changes;
    for (const Change& c : list.changes) changes.items.push_back({change_words(c)});
    if (!changes.items.empty()) out.blocks.push_back(std::move(changes));
    if (!list.sheets.empty())
        out.blocks.push_back(
            doc::paragraph({doc::strong("Print again: "), fmt::format("{}", fmt::join(list.sheets, ", "))}));
    if (!list.steps.empty()) {
        out.blocks.push_back(doc::heading(2, {"New steps of the build sheet"}));
        doc::Steps steps{.numbered = false};
        for (const std::string& step : list.steps) steps.items.push_back({{step}, {}});
        out.blocks.push_back(std::move(steps));
    }
    return out;
}

}  // namespace voltsill
