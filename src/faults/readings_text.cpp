/// Readings back into a file.
#include <fmt/format.h>

#include "faults/readings_file.h"
#include "quantity/print.h"
#include "records/edit.h"

namespace voltsill {
namespace {

/// "U1.18" of "U1.18 (Y1)": what stands in brackets is for people.
std::string short_label(const Questions& questions, int point) {
    const std::string& label = questions.points()[point].label;
    return label.substr(0, label.find(" ("));
}
std::string point_text(const Questions& questions, int point) { return toml_text(short_label(questions, point)); }

/// "wire 12", "U1", "around U1", "wires of rail usb".
std::string looked_at(const Questions& questions, const Question& q) {
    if (q.wire >= 0) return fmt::format("wire {}", q.wire);
    if (q.part < 0) return "wires of " + questions.points()[q.point].label;
    return (q.around ? "around " : "") + questions.build().wiring.parts[q.part].name;
}

std::string share_text(double share) { return print_percent(share, {.digits = 12}); }

std::string meter_error_text(double share, double floor, Dimension dimension) {
    return toml_text(fmt::format("{} + {}", share_text(share), print_number_exact(dimension, floor)));
}

std::string meter_text(const MeterErrors& errors) {
    return fmt::format("[meter]\nvolts_error = {}\nohms_error = {}\ntime_error = {}\n\n",
                       meter_error_text(errors.volts_share, errors.volts, Dimension::voltage),
                       meter_error_text(errors.ohms_share, errors.ohms, Dimension::resistance),
                       toml_text(share_text(errors.seconds_share)));
}

std::string seen_text(const Questions& questions, const Question& q, bool yes) {
    std::string out = "[[seen]]\n";
    if (q.link >= 0) out += "link = " + toml_text(questions.bench().links[q.link].name) + '\n';
    if (q.part >= 0) out += "part = " + toml_text(questions.build().wiring.parts[q.part].name) + '\n';
    return out + fmt::format("what = \"{}\"\n{}", to_word(q.behaviour), yes ? "" : "is = false\n");
}

std::string reading_text(const Questions& questions, const Reading& reading) {
    const Question& q = questions.all()[reading.question];
    const bool yes = reading.kind == Reading::Kind::yes;
    const auto part = [&] { return toml_text(questions.build().wiring.parts[q.part].name); };
    const std::string reads = "reads = " + toml_text(answer_words(questions, reading)) + '\n';
    const std::string head = "[[readings]]\n";
    switch (q.means) {
        case Means::eye:
            return head + fmt::format(
                              "look = {}\nas_planned = {}\n{}", toml_text(looked_at(questions, q)), yes,
                              reading.sight < 0 ? "" : "shows = " + toml_text(answer_words(questions, reading)) + '\n');
        case Means::ohmmeter:
            return head + fmt::format("between = [{}, {}]\n", point_text(questions, q.point),
                                      point_text(questions, q.against)) + reads;
        case Means::voltmeter: {
            if (q.alone) return head + "at = " + toml_text("supply " + questions.points()[q.point].rail) + '\n' + reads;
            const bool rests = q.state == Questions::at_rest;
            const std::string when = rests ? "" : "when = " + toml_text(words(questions.states()[q.state])) + '\n';
            return head + "at = " + point_text(questions, q.point) + '\n' + reads + when;
        }
        case Means::scope:
            if (q.sight == ScopeSight::ripple)
                return head + fmt::format("supply_of = {}\ndips = {}\n", part(), yes);
            return head + "at = " + point_text(questions, q.point) + '\n' + reads +
                   "of = " + toml_text(questions.bench().links[q.link].name) + '\n';
        case Means::behaviour:
            break;
    }
    return seen_text(questions, q, yes);
}

}  // namespace

LineForm line_form(const Questions& questions, int question) {
    const Question& q = questions.all()[question];
    const auto part = [&] { return questions.build().wiring.parts[q.part].name; };
    switch (q.means) {
        case Means::eye:
            return {looked_at(questions, q) + " = ", ""};
        case Means::ohmmeter:
            return {fmt::format("{} to {} = ", short_label(questions, q.point), short_label(questions, q.against)), ""};
        case Means::voltmeter:
            if (q.alone) return {fmt::format("supply {} = ", questions.points()[q.point].rail), ""};
            return {short_label(questions, q.point) + " = ",
                    q.state == Questions::at_rest ? "" : " when " + words(questions.states()[q.state])};
        case Means::scope:
            if (q.sight == ScopeSight::ripple) return {fmt::format("dips at {} = ", part()), ""};
            return {fmt::format("rise time at {} of {} = ", short_label(questions, q.point),
                                questions.bench().links[q.link].name), ""};
        case Means::behaviour:
            break;
    }
    return {questions.words(question) + " = ", ""};
}

std::string readings_text(const ReadingsFile& file, const Questions& questions) {
    std::string out = file.errors ? meter_text(*file.errors) : "";
    if (!file.weights.empty()) {
        out += "[weights]\n";
        for (const auto& [kind, weight] : file.weights) out += fmt::format("{} = {}\n", to_key(kind), weight);
        out += '\n';
    }
    if (file.pairs) out += "[options]\npairs = true\n\n";
    for (std::size_t k = 0; k < file.readings.size(); ++k)
        out += (k ? "\n" : "") + reading_text(questions, file.readings[k].reading);
    return out;
}

}  // namespace voltsill
