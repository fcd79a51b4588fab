/// Models of IBIS: sub-parameters, I-V tables, ramps and waveforms.
#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "parts/ibis_reader.h"

namespace voltsill {
namespace {

/// Rows beyond this many are not kept. The standard allows 100 for I-V tables and, since version 4.0,
/// 1000 for waveforms (from memory).
constexpr std::size_t most_rows = 4000;

struct TypeWord {
    std::string_view word;
    IbisType type;
    std::string_view not_supported;
};

const std::vector<TypeWord>& type_words() {
    static constexpr std::string_view ecl =
        "emitter-coupled logic has levels below its supply that no pin here has";
    static constexpr std::string_view series =
        "it stands between two pins: describe it as a resistor or a pass gate";
    static constexpr std::string_view diff = "differential pins are not modelled";
    static const std::vector<TypeWord> words{{"Input", IbisType::input, ""},
                                             {"Output", IbisType::output, ""},
                                             {"I/O", IbisType::io, ""},
                                             {"3-state", IbisType::three_state, ""},
                                             {"Open_drain", IbisType::open_drain, ""},
                                             {"Open_sink", IbisType::open_drain, ""},
                                             {"Open_source", IbisType::open_source, ""},
                                             {"I/O_open_drain", IbisType::io_open_drain, ""},
                                             {"I/O_open_sink", IbisType::io_open_drain, ""},
                                             {"I/O_open_source", IbisType::io_open_source, ""},
                                             {"Terminator", IbisType::terminator, ""},
                                             {"Input_ECL", IbisType::unsupported, ecl},
                                             {"Output_ECL", IbisType::unsupported, ecl},
                                             {"I/O_ECL", IbisType::unsupported, ecl},
                                             {"3-state_ECL", IbisType::unsupported, ecl},
                                             {"Series", IbisType::unsupported, series},
                                             {"Series_switch", IbisType::unsupported, series},
                                             {"Input_diff", IbisType::unsupported, diff},
                                             {"Output_diff", IbisType::unsupported, diff},
                                             {"I/O_diff", IbisType::unsupported, diff},
                                             {"3-state_diff", IbisType::unsupported, diff}};
    return words;
}

using TripleSlot = std::optional<IbisTriple> IbisModel::*;
using NumberSlot = std::optional<double> IbisModel::*;

/// Keywords whose three figures stand on their own line.
const std::vector<std::pair<std::string_view, TripleSlot>>& triple_keywords() {
    static const std::vector<std::pair<std::string_view, TripleSlot>> slots{
        {"temperature range", &IbisModel::temperature},
        {"voltage range", &IbisModel::voltage},
        {"pullup reference", &IbisModel::pullup_ref},
        {"pulldown reference", &IbisModel::pulldown_ref},
        {"power clamp reference", &IbisModel::power_ref},
        {"gnd clamp reference", &IbisModel::gnd_ref},
        {"rgnd", &IbisModel::rgnd},
        {"rpower", &IbisModel::rpower},
        {"rac", &IbisModel::rac},
        {"cac", &IbisModel::cac}};
    return slots;
}

const std::vector<std::pair<std::string_view, NumberSlot>>& number_parameters() {
    static const std::vector<std::pair<std::string_view, NumberSlot>> slots{{"Vmeas", &IbisModel::v_meas},
                                                                            {"Cref", &IbisModel::c_ref},
                                                                            {"Rref", &IbisModel::r_ref},
                                                                            {"Vref", &IbisModel::v_ref}};
    return slots;
}

const std::vector<std::pair<std::string_view, TripleSlot>>& spec_parameters() {
    static const std::vector<std::pair<std::string_view, TripleSlot>> slots{
        {"Vinl", &IbisModel::vinl},          {"Vinh", &IbisModel::vinh},
        {"Vinh+", &IbisModel::rising_high},  {"Vinh-", &IbisModel::rising_low},
        {"Vinl+", &IbisModel::falling_high}, {"Vinl-", &IbisModel::falling_low}};
    return slots;
}

/// Sub-parameters of [Model] and [Model Spec] that are known and not used here.
bool unused_parameter(std::string_view word) {
    static constexpr std::array words{"S_overshoot_high",
                                      "S_overshoot_low",
                                      "D_overshoot_high",
                                      "D_overshoot_low",
                                      "D_overshoot_time",
                                      "D_overshoot_area_h",
                                      "D_overshoot_area_l",
                                      "D_overshoot_ampl_h",
                                      "D_overshoot_ampl_l",
                                      "Pulse_high",
                                      "Pulse_low",
                                      "Pulse_time",
                                      "Vmeas",
                                      "Cref",
                                      "Rref",
                                      "Cref_rising",
                                      "Cref_falling",
                                      "Rref_rising",
                                      "Rref_falling",
                                      "Vref_rising",
                                      "Vref_falling",
                                      "Vmeas_rising",
                                      "Vmeas_falling",
                                      "Rref_diff",
                                      "Cref_diff",
                                      "Vref",
                                      "Weak_R",
                                      "Weak_I",
                                      "Weak_V",
                                      "Receiver_thresholds"};
    return std::ranges::any_of(words, [&](const char* w) { return same_letters(word, w); });
}

template <class Slots>
auto found(const Slots& slots, std::string_view word) {
    return std::ranges::find_if(slots, [&](const auto& slot) { return same_letters(slot.first, word); });
}

constexpr std::array c_comp_words{"C_comp_pullup", "C_comp_pulldown", "C_comp_power_clamp",
                                  "C_comp_gnd_clamp"};

}  // namespace

void IbisReader::start_model() {
    const std::string_view rest = lines_.rest();
    in_model_ = true;
    once_.clear();
    section_ = Section::model;
    if (rest.empty())
        lines_.error(lines_.keyword_text(), "empty-keyword", "nothing follows this keyword", "a name");
    if (!model_names_.emplace(rest, lines_.line()).second)
        lines_.error(rest.empty() ? lines_.keyword_text() : rest, "repeated-name", "this name stands twice");
    file_.models.push_back({.name = std::string(rest.substr(0, 200)), .line = lines_.line()});
}

bool IbisReader::model_keyword() {
    const std::string& key = lines_.key();
    if (key == "model") {
        start_model();
        return true;
    }
    static const std::map<std::string_view, Slot> tables{{"pulldown", &IbisModel::pulldown},
                                                         {"pullup", &IbisModel::pullup},
                                                         {"gnd clamp", &IbisModel::gnd_clamp},
                                                         {"power clamp", &IbisModel::power_clamp}};
    const auto table = tables.find(key);
    const auto triple = found(triple_keywords(), key);
    const bool waveform = key == "rising waveform" || key == "falling waveform";
    const bool spec = key == "model spec", ramp = key == "ramp";
    if (table == tables.end() && triple == triple_keywords().end() && !waveform && !spec && !ramp)
        return false;
    if (!in_model_) {
        lines_.error(lines_.keyword_text(), "misplaced-keyword", "this keyword stands outside of a model",
                     "[Model] above it");
        section_ = Section::unused;
        return true;
    }
    if (!waveform && !once_.insert(key).second) {
        lines_.error(lines_.keyword_text(), "repeated-keyword", "this keyword stands twice in one model");
        section_ = Section::unused;
        return true;
    }
    if (triple != triple_keywords().end()) {
        section_ = Section::none;
        three_numbers(model().*triple->second, lines_.words(), lines_.keyword_text());
    } else if (table != tables.end()) {
        section_ = Section::table;
        slot_ = table->second;
        slot_name_ = lines_.keyword_text();
        rows_ = {.line = lines_.line()};
    } else if (waveform) {
        section_ = Section::waveform;
        slot_name_ = lines_.keyword_text();
        rows_ = {.line = lines_.line()};
        waveform_ = {.rising = key == "rising waveform", .line = lines_.line()};
        waveform_.v_fixture.given = {true, false, false};
        has_v_fixture_ = has_r_fixture_ = false;
    } else {
        section_ = spec ? Section::model_spec : Section::ramp;
        if (ramp) model().ramp = IbisRamp{.line = lines_.line()};
    }
    return true;
}

void IbisReader::one_number(std::optional<double>& slot, std::span<const std::string_view> words,
                            std::string_view what) {
    if (words.empty())
        lines_.error(lines_.rest(), "value-missing", fmt::format("{} has no value", what));
    else if (!IbisLines::is_na(words[0]))
        slot = lines_.number(words[0]);
}

void IbisReader::three_numbers(std::optional<IbisTriple>& slot, std::span<const std::string_view> words,
                               std::string_view what) {
    slot = lines_.triple(words, what, model().remarks);
}

void IbisReader::model_row() {
    const auto words = lines_.words(true);
    if (words.empty()) return;
    const std::string_view name = words[0];
    const auto values = std::span(words).subspan(1);
    IbisModel& m = model();
    if (same_letters(name, "Model_type")) {
        const std::string_view word = values.empty() ? std::string_view() : values[0];
        const auto type =
            std::ranges::find_if(type_words(), [&](const TypeWord& t) { return same_letters(t.word, word); });
        m.type_word = word.substr(0, 80);
        if (type != type_words().end()) {
            m.type = type->type;
            m.not_supported = type->not_supported;
            return;
        }
        std::vector<std::string> choices;
        for (const TypeWord& t : type_words()) choices.emplace_back(t.word);
        lines_.unknown_name(word.empty() ? name : word, "unknown-model-type", "this is no type of model",
                            choices);
        m.not_supported = "its type is not known";
        return;
    }
    const auto either = [&](bool& slot, std::string_view no, std::string_view yes) {
        const std::string_view word = values.empty() ? std::string_view() : values[0];
        if (same_letters(word, yes) || same_letters(word, no))
            slot = same_letters(word, yes);
        else
            lines_.error(word.empty() ? name : word, "wrong-word",
                         fmt::format("{} takes one of two words", name), fmt::format("{} or {}", no, yes));
    };
    if (same_letters(name, "Polarity")) return either(m.inverting, "Non-Inverting", "Inverting");
    if (same_letters(name, "Enable")) return either(m.enable_low, "Active-High", "Active-Low");
    if (same_letters(name, "C_comp")) return three_numbers(m.c_comp, values, name);
    for (std::size_t i = 0; i < c_comp_words.size(); ++i)
        if (same_letters(name, c_comp_words[i])) return three_numbers(m.c_comp_to[i], values, name);
    if (same_letters(name, "Vinl") || same_letters(name, "Vinh")) {
        std::optional<double> value;
        one_number(value, values.first(std::min<std::size_t>(values.size(), 1)), name);
        auto& slot = same_letters(name, "Vinl") ? m.vinl : m.vinh;
        if (value && !slot) slot = IbisTriple{{*value, *value, *value}, {true, true, true}};
        return;
    }
    const auto number = found(number_parameters(), name);
    if (number != number_parameters().end()) return one_number(m.*number->second, values, name);
    if (unused_parameter(name)) {
        file_.unused.push_back({std::string(name), lines_.line(), "not used here"});
        return;
    }
    lines_.unknown_name(
        name, "unknown-parameter", "this is no parameter of [Model]",
        {"Model_type", "Polarity", "Enable", "Vinl", "Vinh", "Vmeas", "Cref", "Rref", "Vref", "C_comp",
         "C_comp_pullup", "C_comp_pulldown", "C_comp_power_clamp", "C_comp_gnd_clamp"});
}

void IbisReader::model_spec_row() {
    const auto words = lines_.words(true);
    if (words.empty()) return;
    const auto slot = found(spec_parameters(), words[0]);
    if (slot != spec_parameters().end())
        three_numbers(model().*slot->second, std::span(words).subspan(1), words[0]);
    else if (unused_parameter(words[0]))
        file_.unused.push_back({std::string(words[0]), lines_.line(), "not used here"});
    else
        lines_.unknown_name(words[0], "unknown-parameter", "this is no parameter of [Model Spec]",
                            {"Vinl", "Vinh", "Vinh+", "Vinh-", "Vinl+", "Vinl-"});
}

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

namespace {

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
        const bool own = count[c] >= 2;
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
    if (good && has_v_fixture_ && has_r_fixture_) model().waveforms.push_back(std::move(waveform_));
}

}  // namespace voltsill
