/// parts: list, search, show, check a file, import a model.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "cli/files.h"
#include "cli/options.h"
#include "documents/html.h"
#include "documents/markdown.h"
#include "documents/reports.h"
#include "drawing/text.h"
#include "engine/ibis_json.h"
#include "parts/part_records.h"
#include "parts/pin_traits.h"
#include "parts/ranked.h"

namespace voltsill::cli {
namespace {

constexpr int nothing_found = 1;

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& w : words) text += (text.empty() ? "" : " ") + w;
    return text;
}

std::string line_of(const std::string& name, const std::string& title) {
    return fmt::format("{}{} {}\n", name,
                       std::string(static_cast<std::size_t>(std::max(0, 48 - display_width(name))), ' '), title);
}

/// A file name of the letters of a type's name, without its ending.
std::string file_of(const std::string& type) {
    std::string name;
    for (const char c : type) name += std::isalnum(static_cast<unsigned char>(c)) ? c : '-';
    return name;
}

/// `on_terminal` where that is another than the document.
int tell(const std::string& name, const doc::Document& document, const std::string& json,
         const std::string& on_terminal, const PartsOptions& o) {
    const bool lines = o.form == Form::terminal && !on_terminal.empty();
    print_out(o.form == Form::json ? json : lines ? on_terminal : shown(document, o), o);
    if (o.out.empty()) return 0;
    return write_report({{name + ".html", doc::render_html(document)},
                         {name + ".md", doc::render_markdown(document)},
                         {name + ".json", json}},
                        o)
               ? 0
               : wrong_use;
}

int list(const std::string& title, const std::vector<const PartType*>& types, const std::vector<PinTrait>& traits,
         const PartsOptions& o) {
    std::string lines;
    for (const PartType* t : types) lines += line_of(t->name, t->title);
    if (!traits.empty()) {
        if (!lines.empty()) lines += '\n';
        lines += "For a pin of a part of one's own, pins.NAME = { like = \"...\" }:\n";
    }
    for (const PinTrait& t : traits) lines += line_of(t.name, t.part.title);
    return tell("parts", catalogue_report(title, types, traits), parts_to_json(types, traits), lines, o);
}

int search(const PartsOptions& o) {
    const Catalogue& catalogue = Catalogue::built_in();
    const std::string query = joined(o.words);
    const auto types = catalogue.search(query);
    const auto traits = pin_traits(catalogue, query);
    if (!types.empty() || !traits.empty()) return list("Parts and traits for: " + query, types, traits, o);
    const std::vector<std::string> near = near_names(catalogue, query);
    if (o.form == Form::json) {
        print_out(parts_to_json({}, {}, near), o);
    } else {
        std::string quoted;
        for (const std::string& name : near) quoted += fmt::format("{}\"{}\"", quoted.empty() ? "" : ", ", name);
        complain(fmt::format("nothing in the catalogue is called \"{}\"; {}", query,
                             quoted.empty() ? "try what its pin is, such as \"open collector\", or describe it "
                                              "(docs/part-files.md); `voltsill parts list` shows all there is"
                                            : "nearest: " + quoted),
                 o);
    }
    return nothing_found;
}

std::optional<PinTrait> trait_of(const std::string& name) {
    for (PinTrait& trait : pin_traits(Catalogue::built_in()))
        if (trait.name == name) return std::move(trait);
    return std::nullopt;
}

int not_shown(const std::string& name, const PartsOptions& o) {
    const std::vector<std::string> near = near_names(Catalogue::built_in(), name, 1);
    return give_up(wrong_use,
                   fmt::format("no part type or trait \"{}\"{}", name,
                               near.empty() ? "; try `voltsill parts search WORDS`"
                                            : fmt::format("; did you mean \"{}\"?", near.front())),
                   o);
}

int show(const PartsOptions& o) {
    const std::string name = joined(o.words);
    if (const PartType* type = Catalogue::built_in().find(name))
        return tell(file_of(name), part_report(*type), to_json(*type), "", o);
    if (const auto trait = trait_of(name)) return tell(file_of(name), trait_report(*trait), to_json(*trait), "", o);
    return not_shown(name, o);
}

int check_file(const std::string& path, const PartsOptions& o) {
    const auto bytes = bytes_of(path, o);
    if (!bytes) return refused;
    Problems problems;
    const Catalogue with = Catalogue::built_in().with_file(*bytes, path, problems);
    if (show_problems(problems, o) != 0) return refused;
    const std::size_t added = with.types().size() - Catalogue::built_in().types().size();
    if (o.form != Form::json)
        print_out(fmt::format("{}: {} part type{} read, no mistakes", path, added, added == 1 ? "" : "s"), o);
    else
        print_out(to_json(problems), o);
    return 0;
}

int import_file(const std::string& path, const PartsOptions& o) {
    const bool asked = !o.model.empty() || !o.pin.empty();
    if (!o.out.empty() && !asked)
        return give_up(wrong_use, "--out writes the part file of one model: say which with --model or --pin", o);
    const auto bytes = bytes_of(path, o);
    if (!bytes) return refused;
    Problems problems;
    const IbisFile file = read_ibis(*bytes, path, problems);
    std::optional<IbisImport> import;
    const bool good = !has_error(problems);
    if (asked && good) import = import_ibis(file, {o.model, o.pin}, problems);
    if (show_problems(problems, o) != 0) return good ? wrong_use : refused;
    if (o.form == Form::json) print_out(ibis_to_json(file, import, problems), o);
    if (!import) {
        if (o.form != Form::json) print_out(ibis_listing(file), o);
        return 0;
    }
    if (o.out.empty()) {
        if (o.form != Form::json) print_out(import->part_file, o);
        return 0;
    }
    const std::string file_name = file_of(import->type) + ".toml";
    if (!write_files({{file_name, import->part_file}}, o)) return wrong_use;
    if (o.form != Form::json && !o.quiet)
        print_out(fmt::format("Written: {}/{}, part type \"{}\"", o.out, file_name, import->type), o);
    return 0;
}

/// One file after the other, as a shell's pattern gives them; the worst code of all.
int each_file(int (*job)(const std::string&, const PartsOptions&), const PartsOptions& o) {
    if (o.words.size() > 1 && (o.form == Form::json || !o.model.empty() || !o.pin.empty())) {
        return give_up(wrong_use, "one file at a time with --json, --model or --pin; a name with blanks goes in quotes",
                       o);
    }
    int worst = 0;
    for (const std::string& path : o.words) {
        if (&path != &o.words.front() && o.form != Form::json && !o.quiet) fmt::print("\n");
        worst = std::max(worst, job(path, o));
    }
    return worst;
}

}  // namespace

int run_parts(const PartsOptions& o) {
    if (!o.out.empty() && (o.action == "check" || o.action == "schema"))
        return give_up(wrong_use, fmt::format("parts {} writes no files: leave out --out", o.action), o);
    if (o.action == "show") return show(o);
    if (o.action == "check") return each_file(&check_file, o);
    if (o.action == "import") return each_file(&import_file, o);
    if (o.action == "schema") {
        print_out(part_file_schema());
        return 0;
    }
    if (o.action == "search") return search(o);
    std::vector<const PartType*> all;
    for (const auto& t : Catalogue::built_in().types()) all.push_back(t.get());
    return list("Parts and traits", all, pin_traits(Catalogue::built_in()), o);
}

}  // namespace voltsill::cli
