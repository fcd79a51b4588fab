/// Models of IBIS: their keywords and sub-parameters.
#include <fmt/format.h>

#include <algorithm>

#include "parts/ibis_reader.h"

namespace voltsill {
namespace {

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

/// Where and into what the maker times an edge: numbers that are checked and not kept.
constexpr std::array timing_parameters{"Vmeas", "Cref", "Rref", "Vref"};

const std::vector<std::pair<std::string_view, TripleSlot>>& spec_parameters() {
    static const std::vector<std::pair<std::string_view, TripleSlot>> slots{
        {"Vinl", &IbisModel::vinl},          {"Vinh", &IbisModel::vinh},
        {"Vinh+", &IbisModel::rising_high},  {"Vinh-", &IbisModel::rising_low},
        {"Vinl+", &IbisModel::falling_high}, {"Vinl-", &IbisModel::falling_low}};
    return slots;
}

template <class Words>
bool named_in(const Words& words, std::string_view word) {
    return std::ranges::any_of(words, [&](const char* w) { return same_letters(word, w); });
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
    return named_in(words, word);
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
    if (bool low = false; same_letters(name, "Enable")) return either(low, "Active-High", "Active-Low");
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
    if (named_in(timing_parameters, name)) {
        std::optional<double> not_kept;
        return one_number(not_kept, values, name);
    }
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

}  // namespace voltsill
