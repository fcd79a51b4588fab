/// parts: list, search, show, check a file, import a model.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "cli/files.h"
#include "cli/options.h"
#include "documents/reports.h"
#include "drawing/text.h"
#include "engine/ibis_json.h"
#include "parts/part_records.h"

namespace voltsill::cli {
namespace {

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& w : words) text += (text.empty() ? "" : " ") + w;
    return text;
}

int list(const std::vector<const PartType*>& types, const PartsOptions& o) {
    if (o.form == Form::json) {
        print_out(parts_to_json(types), o);
        return 0;
    }
    std::string lines;
    for (const PartType* t : types) lines += fmt::format("{:<48} {}\n", t->name, t->title);
    if (!lines.empty()) fmt::print("{}", o.ascii ? to_ascii(lines) : lines);
    if (types.empty())
        complain(fmt::format("nothing in the catalogue is called \"{}\"; try what its pin is, such as \"open collector\", or "
                             "describe it (docs/part-files.md)", joined(o.words)), o);
    return 0;
}

int show(const PartsOptions& o) {
    const std::string name = joined(o.words);
    const PartType* type = Catalogue::built_in().find(name);
    if (!type) {
        const std::string nearest = nearest_name(name, Catalogue::built_in().names());
        complain(fmt::format("no part type \"{}\"{}", name,
                             nearest.empty() ? "; try `voltsill parts search WORDS`"
                                             : fmt::format("; did you mean \"{}\"?", nearest)),
                 o);
        return wrong_use;
    }
    if (o.form == Form::json)
        print_out(to_json(*type), o);
    else
        print_out(shown(part_report(*type), o), o);
    return 0;
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

/// A file name of the letters of a type's name.
std::string file_of(const std::string& type) {
    std::string name;
    for (const char c : type) name += std::isalnum(static_cast<unsigned char>(c)) ? c : '-';
    return name + ".toml";
}

int import_file(const std::string& path, const PartsOptions& o) {
    const auto bytes = bytes_of(path, o);
    if (!bytes) return refused;
    Problems problems;
    const IbisFile file = read_ibis(*bytes, path, problems);
    std::optional<IbisImport> import;
    const bool asked = !o.model.empty() || !o.pin.empty(), good = !has_error(problems);
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
    const std::string target = o.out + "/" + file_of(import->type);
    auto done = make_folder(o.out);
    if (done) done = write_file(target, import->part_file);
    if (!done) {
        complain(done.error(), o);
        return refused;
    }
    if (o.form != Form::json && !o.quiet)
        print_out(fmt::format("Written: {}, part type \"{}\"", target, import->type), o);
    return 0;
}

/// One file after the other, as a shell's pattern gives them; the worst code of all.
int each_file(int (*job)(const std::string&, const PartsOptions&), const PartsOptions& o) {
    if (o.words.size() > 1 && (o.form == Form::json || !o.model.empty() || !o.pin.empty())) {
        complain("one file at a time with --json, --model or --pin; a name with blanks goes in quotes", o);
        return wrong_use;
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
    if (o.action == "show") return show(o);
    if (o.action == "check") return each_file(&check_file, o);
    if (o.action == "import") return each_file(&import_file, o);
    if (o.action == "schema") {
        print_out(part_file_schema());
        return 0;
    }
    if (o.action == "search") return list(Catalogue::built_in().search(joined(o.words)), o);
    std::vector<const PartType*> all;
    for (const auto& t : Catalogue::built_in().types()) all.push_back(t.get());
    return list(all, o);
}

}  // namespace voltsill::cli
