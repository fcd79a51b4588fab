#include "parts/ibis_import.h"

#include <fmt/format.h>

#include <algorithm>

#include "parts/ibis_toml.h"

namespace voltsill {
namespace {

struct Chosen {
    const IbisComponent* component = nullptr;
    const IbisPin* pin = nullptr;
    const IbisModel* model = nullptr;
};

void refuse(const IbisFile& file, Problems& problems, std::string code, std::string message,
            std::string nearest = {}) {
    problems.push_back({.code = std::move(code),
                        .place = {.file = file.file},
                        .message = std::move(message),
                        .nearest = std::move(nearest)});
}

/// The first component that has the pin, or whose pins use the model.
void find_pin(const IbisFile& file, const IbisChoice& choice, Chosen& chosen) {
    for (const IbisComponent& c : file.components)
        for (const IbisPin& p : c.pins) {
            bool fits = !choice.pin.empty() ? p.number == choice.pin : p.model == choice.model;
            if (const IbisSelector* s = choice.pin.empty() ? file.selector(p.model) : nullptr)
                fits = fits || s->offers(choice.model);
            if (!fits) continue;
            chosen.component = &c, chosen.pin = &p;
            return;
        }
}

std::vector<std::string> pin_numbers(const IbisFile& file) {
    std::vector<std::string> numbers;
    for (const IbisComponent& c : file.components)
        for (const IbisPin& p : c.pins)
            if (numbers.size() < 500) numbers.push_back(p.number);
    return numbers;
}

std::optional<Chosen> choose(const IbisFile& file, const IbisChoice& choice, Problems& problems,
                             std::vector<std::string>& remarks) {
    Chosen chosen;
    find_pin(file, choice, chosen);
    if (!choice.pin.empty() && !chosen.pin) {
        refuse(file, problems, "unknown-pin", fmt::format("no component has a pin {}", choice.pin),
               nearest_name(choice.pin, pin_numbers(file)));
        return std::nullopt;
    }
    std::string name = choice.model.empty() && chosen.pin ? chosen.pin->model : choice.model;
    if (const IbisSelector* selector = file.selector(name); selector && !selector->choices.empty()) {
        name = selector->choices.front().model;
        remarks.push_back(fmt::format("selector {} offers {} models; its first, {}, is taken",
                                      ibis_plain(selector->name), selector->choices.size(),
                                      ibis_plain(name)));
    }
    chosen.model = file.model(name);
    if (!chosen.model) {
        const bool power = name == "POWER" || name == "GND" || name == "NC";
        refuse(file, problems, "unknown-model",
               power ? fmt::format("pin {} is {}: it has no model", choice.pin, name)
                     : fmt::format("there is no model {}", name),
               power ? "" : nearest_name(name, file.model_names()));
        return std::nullopt;
    }
    if (!choice.model.empty() && !choice.pin.empty() && chosen.pin->model != choice.model) {
        const IbisSelector* s = file.selector(chosen.pin->model);
        if (!s || !s->offers(name)) {
            refuse(file, problems, "wrong-pin",
                   fmt::format("pin {} uses model {}, not {}", choice.pin, chosen.pin->model, choice.model));
            return std::nullopt;
        }
    }
    if (chosen.model->type == IbisType::unsupported) {
        refuse(file, problems, "unsupported-model",
               fmt::format("model {} is of type {}: {}", name, chosen.model->type_word,
                           chosen.model->not_supported));
        return std::nullopt;
    }
    return chosen;
}

/// A name that can stand in a bench: "part.NAME".
std::string pin_name(std::string_view signal) {
    std::string name;
    for (const char c : signal.substr(0, 40)) {
        const bool fine = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                          c == '_' || c == '+' || c == '/';
        name += fine ? c : '_';
    }
    if (name.empty()) name = "PIN";
    return name == "VCC" || name == "GND" ? name + "_PIN" : name;
}

std::string source_of(const IbisFile& file, const IbisModel& model) {
    std::string text =
        file.file_name.empty() ? file.file.substr(file.file.find_last_of('/') + 1) : file.file_name;
    if (!file.revision.empty()) text += fmt::format(", revision {}", file.revision);
    if (!file.date.empty()) text += fmt::format(", {}", file.date);
    return text + fmt::format(": IBIS model {}", model.name);
}

void package_remarks(const IbisPackage& package, std::vector<std::string>& remarks) {
    if (!package.ohms && !package.henries) return;
    remarks.push_back(fmt::format("the package's {:g} Ohm and {:g} nH in series with the pin are not used",
                                  package.ohms ? package.ohms->at(ibis_typ) : 0,
                                  package.henries ? 1e9 * package.henries->at(ibis_typ) : 0));
}

void model_remarks(const IbisFile& file, const IbisModel& model, std::vector<std::string>& remarks) {
    for (const std::string& r : model.remarks) remarks.push_back(r);
    const bool clamped = model.power_clamp || model.gnd_clamp;
    if (model.drives())
        remarks.push_back(
            clamped
                ? "I-V tables: [Pullup] and [Pulldown] are taken without the clamps, whose tables add to them"
                : "I-V tables: no clamp tables, so no diodes");
    if (model.inverting) remarks.push_back("Polarity is Inverting: the pin inverts what drives it inside");
    if (model.type == IbisType::io_open_source)
        remarks.push_back("as an input it is not used: a part file has no open-source input");
    if (model.type == IbisType::terminator)
        remarks.push_back("a terminator reads nothing: its pin is an input without thresholds");
    for (const IbisWaveform& w : model.waveforms)
        if (w.other_parts)
            remarks.push_back(fmt::format(
                "line {}: this waveform is not used: its fixture has more than R, V and C", w.line));
    for (const IbisUnused& u : file.unused) {
        if (remarks.size() > 200) break;
        remarks.push_back(
            fmt::format("line {}: {} is not used: {}", u.line, ibis_plain(u.keyword, 60), u.reason));
    }
}

/// Lines of the file as plain text.
std::string plain_lines(std::string_view text, std::size_t longest) {
    std::string out;
    for (const char c : text.substr(0, longest)) out += c == '\n' ? "\n" : ibis_plain({&c, 1});
    return out;
}

std::string biography(const IbisFile& file, const Chosen& chosen, const std::vector<std::string>& remarks) {
    std::string text = fmt::format(
        "Imported from {}, version {} of IBIS. Figures are those of the maker's model: typical, not "
        "guaranteed.\n",
        ibis_plain(source_of(file, *chosen.model)), ibis_plain(file.version));
    if (chosen.component)
        text += fmt::format("Component: {}, {}.\n", ibis_plain(chosen.component->name),
                            ibis_plain(chosen.component->manufacturer));
    if (!file.source.empty())
        text += fmt::format("Source as the file says: {}\n", plain_lines(file.source, 2000));
    if (!file.notes.empty()) text += fmt::format("Notes of the file: {}\n", plain_lines(file.notes, 2000));
    for (const std::string& r : remarks) text += "- " + r + "\n";
    std::string out = "about = \"\"\"\n";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c == '\n' || static_cast<unsigned char>(c) >= ' ' ? c : ' ';
    }
    return out + "\"\"\"\n\n";
}

}  // namespace

std::optional<IbisImport> import_ibis(const IbisFile& file, const IbisChoice& choice, Problems& problems) {
    IbisImport out;
    const auto chosen = choose(file, choice, problems, out.remarks);
    if (!chosen) return std::nullopt;
    const IbisModel& model = *chosen->model;
    IbisPart part{.model = &model, .source = source_of(file, model)};
    out.model = model.name;
    out.type = model.name;
    if (chosen->component) {
        part.package = chosen->component->package;
        out.component = chosen->component->name;
        for (auto own : {&IbisPackage::ohms, &IbisPackage::henries, &IbisPackage::farads})
            if (chosen->pin->package.*own) part.package.*own = chosen->pin->package.*own;
    }
    if (!choice.pin.empty()) {
        out.pin = choice.pin;
        out.type = fmt::format("{} {}", out.component, choice.pin);
    }
    part.type = ibis_plain(out.type);
    part.pin = pin_name(!choice.pin.empty() ? chosen->pin->signal : model.name);
    part.title = fmt::format("{} pin of an IBIS model{}", model.type_word,
                             out.component.empty() ? "" : ", " + out.component);
    package_remarks(part.package, out.remarks);
    model_remarks(file, model, out.remarks);
    part.driver = ibis_driver(model, {Certainty::typical, part.source});
    for (const std::string& r : part.driver.remarks) out.remarks.push_back(r);
    const std::string text = ibis_part_text(part, out.remarks);
    out.type = part.type;
    out.part_file = biography(file, *chosen, out.remarks) + text;
    return out;
}

std::string ibis_listing(const IbisFile& file) {
    // A file can hold what a terminal would act on.
    const auto plain = [](std::string_view text) { return ibis_plain(text); };
    std::string text = fmt::format("{}: IBIS version {}", file.file, plain(file.version));
    if (!file.revision.empty()) text += ", revision " + plain(file.revision);
    if (!file.date.empty()) text += ", " + plain(file.date);
    text += '\n';
    for (const IbisComponent& c : file.components) {
        text += fmt::format("\ncomponent {}, {}\n", plain(c.name), plain(c.manufacturer));
        for (const IbisPin& p : c.pins)
            text += fmt::format("  pin {:<8} {:<20} {}\n", plain(p.number), plain(p.signal), plain(p.model));
    }
    for (const IbisSelector& s : file.selectors) {
        text += fmt::format("\nselector {}\n", plain(s.name));
        for (const auto& choice : s.choices)
            text += fmt::format("  {:<24} {}\n", plain(choice.model), plain(choice.text));
    }
    text += "\nmodels\n";
    for (const IbisModel& m : file.models)
        text +=
            fmt::format("  {:<24} {:<16} {:g} V{}{}\n", plain(m.name), plain(m.type_word), m.supply(ibis_typ),
                        m.waveforms.empty() ? "" : fmt::format(", {} waveforms", m.waveforms.size()),
                        m.not_supported.empty() ? "" : "; not supported: " + m.not_supported);
    if (!file.unused.empty()) text += "\nnot used\n";
    for (const IbisUnused& u : file.unused)
        text += fmt::format("  line {:<6} {:<28} {}\n", u.line, plain(u.keyword), u.reason);
    return text;
}

}  // namespace voltsill
