/// What fills many lines of an IBIS model: ramps, I-V tables and waveforms.
#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "parts/ibis_reader.h"

namespace voltsill {
namespace {

/// Rows beyond this many are not kept. The standard allows 100 for I-V tables and, since version 4.0,
/// 1000 for waveforms (from memory).
constexpr std::size_t most_rows = 4000;

/// Splits rows into the columns of each corner; false after a problem.
bool columns(IbisRows& rows, std::string_view name, const char* unit, IbisLines& lines,
             std::vector<std::string>& remarks,
             const std::function<void(std::size_t corner, double x, double y)>& put) {
    if (!rows.good) return false;
    if (rows.rows.size() < 2) {
        lines.error_on(
            rows.line, "too-few-rows",
            fmt::format("{} has {} row{}", name, rows.rows.size(), rows.rows.size() == 1 ? "" : "s"),
            "at least two rows");
        return false;
    }
    if (rows.rows.front().x > rows.rows.back().x) std::ranges::reverse(rows.rows);
    for (std::size_t i = 1; i < rows.rows.size(); ++i) {
        if (rows.rows[i].x > rows.rows[i - 1].x) continue;
        lines.error_on(std::max(rows.rows[i].line, rows.rows[i - 1].line), "rows-out-of-order",
                       fmt::format("{:g} {} stands beside {:g} {} in {}", rows.rows[i].x, unit,
                                   rows.rows[i - 1].x, unit, name),
                       "rows that rise, or fall, throughout");
        return false;
    }
    std::array<std::size_t, 3> count{};
    for (const auto& row : rows.rows)
        for (std::size_t c = 0; c < 3; ++c) count[c] += row.y[c].has_value();
    if (count[0] < 2) {
        lines.error_on(rows.line, "typical-missing", fmt::format("{} has no typical column", name),
                       "at least two rows with a typical figure");
        return false;
    }
    for (std::size_t c = 0; c < 3; ++c) {
        const bool own = rows.own[c] = count[c] >= 2;
        if (!own)
            remarks.push_back(fmt::format("line {}: {}: no {} column, the typical one stands in", rows.line,
                                          name, c == ibis_min ? "minimum" : "maximum"));
        for (const auto& row : rows.rows)
            if (const auto y = row.y[own ? c : 0]) put(c, row.x, *y);
    }
    if (rows.short_rows)
        lines.warning_on(rows.line, "short-rows",
                         fmt::format("rows of {} have fewer than four columns", name),
                         "NA where a figure is not known");
    return true;
}

}  // namespace

void IbisReader::ramp_row() {
    const auto words = lines_.words(true);
    if (words.empty()) return;
    IbisRamp& ramp = *model().ramp;
    if (same_letters(words[0], "R_load")) {
        std::optional<double> ohms;
        one_number(ohms, std::span(words).subspan(1), words[0]);
        if (ohms && *ohms > 0)
            ramp.r_load = *ohms;
        else if (ohms)
            lines_.error(words[1], "not-positive", "R_load must be above zero");
        return;
    }
    const bool rise = same_letters(words[0], "dV/dt_r");
    if (!rise && !same_letters(words[0], "dV/dt_f")) {
        lines_.unknown_name(words[0], "unknown-parameter", "this is no parameter of [Ramp]",
                            {"dV/dt_r", "dV/dt_f", "R_load"});
        return;
    }
    std::vector<std::string_view> volts, seconds;
    for (const std::string_view word : std::span(words).subspan(1)) {
        const std::size_t slash = word.find('/');
        if (slash == std::string_view::npos && !IbisLines::is_na(word)) {
            lines_.error(word, "wrong-ramp", "a ramp is volts over seconds", "2.20/1.06n");
            return;
        }
        volts.push_back(word.substr(0, slash));
        seconds.push_back(slash == std::string_view::npos ? word : word.substr(slash + 1));
    }
    std::vector<std::string> unsaid;
    const auto dv = lines_.triple(volts, words[0], model().remarks),
               dt = dv ? lines_.triple(seconds, words[0], unsaid) : std::nullopt;
    if (!dv || !dt) return;
    for (const IbisCorner c : ibis_corners)
        if (dv->at(c) <= 0 || dt->at(c) <= 0) {
            lines_.error(lines_.rest(), "zero-ramp",
                         fmt::format("an edge of {:g} V in {:g} s is none", dv->at(c), dt->at(c)),
                         "volts and seconds above zero");
            return;
        }
    (rise ? ramp.rise_volts : ramp.fall_volts) = *dv;
    (rise ? ramp.rise_seconds : ramp.fall_seconds) = *dt;
}

void IbisReader::waveform_row() {
    const auto words = lines_.words(true);
    if (words.empty()) return;
    const auto values = std::span(words).subspan(1);
    const std::string_view name = words[0];
    std::optional<double> value;
    if (same_letters(name, "R_fixture")) {
        one_number(value, values, name);
        if (value && *value <= 0) lines_.error(words[1], "not-positive", "R_fixture must be above zero");
        if (value && *value > 0) waveform_.r_fixture = *value, has_r_fixture_ = true;
    } else if (same_letters(name, "V_fixture")) {
        one_number(value, values, name);
        if (!value) return;
        has_v_fixture_ = true;
        waveform_.v_fixture.value[ibis_typ] = *value;
    } else if (same_letters(name, "V_fixture_min") || same_letters(name, "V_fixture_max")) {
        one_number(value, values, name);
        const std::size_t i = same_letters(name, "V_fixture_min") ? ibis_min : ibis_max;
        if (value) waveform_.v_fixture.value[i] = *value, waveform_.v_fixture.given[i] = true;
    } else if (same_letters(name, "C_fixture")) {
        one_number(value, values, name);
        if (value && *value < 0)
            lines_.error(words[1], "not-positive", "C_fixture must not be negative");
        else
            waveform_.c_fixture = value.value_or(0);
    } else if (std::ranges::any_of(std::array{"L_fixture", "R_dut", "L_dut", "C_dut"},
                                   [&](const char* w) { return same_letters(name, w); })) {
        one_number(value, values, name);
        if (value && *value != 0) waveform_.other_parts = true;
    } else {
        const char first = name[0];
        const bool numeric = (first >= '0' && first <= '9') || first == '-' || first == '+' || first == '.';
        if (numeric || IbisLines::is_na(name)) return table_row();
        lines_.unknown_name(name, "unknown-parameter", "this is no parameter of a waveform",
                            {"R_fixture", "V_fixture", "V_fixture_min", "V_fixture_max", "C_fixture",
                             "L_fixture", "R_dut", "L_dut", "C_dut"});
    }
}

void IbisReader::table_row() {
    if (rows_.rows.size() >= most_rows) {
        if (rows_.good)
            lines_.error(lines_.rest(), "too-many-rows",
                         fmt::format("{} has more than {} rows", slot_name_, most_rows));
        rows_.good = false;
        return;
    }
    const auto words = lines_.words();
    const auto x = lines_.number(words[0]);
    if (!x) {
        rows_.good = false;
        return;
    }
    IbisRows::Row row{.x = *x, .line = lines_.line()};
    if (words.size() < 2) {
        lines_.error(lines_.rest(), "short-row", "this row has no figures",
                     "a place and three figures: typ min max");
        rows_.good = false;
        return;
    }
    rows_.short_rows = rows_.short_rows || words.size() < 4;
    for (std::size_t i = 0; i < 3 && i + 1 < words.size(); ++i) {
        if (IbisLines::is_na(words[i + 1])) continue;
        row.y[i] = lines_.number(words[i + 1]);
        if (!row.y[i]) rows_.good = false;
    }
    if (words.size() > 4) lines_.warning(words[4], "extra-words", "a row has four columns");
    rows_.rows.push_back(row);
}

void IbisReader::end_section() {
    if (section_ == Section::table) end_table();
    if (section_ == Section::waveform) end_waveform();
    if (section_ == Section::ramp &&
        (model().ramp->rise_volts.at(ibis_typ) == 0 || model().ramp->fall_volts.at(ibis_typ) == 0)) {
        if (!lines_.full())
            lines_.error_on(model().ramp->line, "incomplete-ramp", "this ramp is not usable",
                            "dV/dt_r and dV/dt_f");
        model().ramp.reset();
    }
    section_ = Section::none;
}

void IbisReader::end_table() {
    IbisTable table{.line = rows_.line};
    const bool good =
        columns(rows_, slot_name_, "V", lines_, model().remarks, [&](std::size_t c, double x, double y) {
            table.corner[c].volts.push_back(x);
            table.corner[c].amps.push_back(y);
        });
    if (rows_.rows.size() > 100)
        lines_.warning_on(rows_.line, "many-rows",
                          fmt::format("{} has {} rows", slot_name_, rows_.rows.size()), "at most 100");
    if (good) model().*slot_ = std::move(table);
}

void IbisReader::end_waveform() {
    if (!has_v_fixture_ || !has_r_fixture_)
        lines_.error_on(rows_.line, "no-fixture",
                        fmt::format("{} does not say what loads the output", slot_name_),
                        "R_fixture and V_fixture");
    const bool good =
        columns(rows_, slot_name_, "s", lines_, model().remarks, [&](std::size_t c, double x, double y) {
            waveform_.seconds[c].push_back(x);
            waveform_.volts[c].push_back(y);
        });
    for (const IbisCorner c : {ibis_min, ibis_max})
        if (!waveform_.v_fixture.given[c]) waveform_.v_fixture.value[c] = waveform_.v_fixture.value[ibis_typ];
    waveform_.own = rows_.own;
    if (good && has_v_fixture_ && has_r_fixture_) model().waveforms.push_back(std::move(waveform_));
}

}  // namespace voltsill
