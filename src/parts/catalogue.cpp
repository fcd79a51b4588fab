#include "parts/catalogue.h"

#include <algorithm>

#include "parts/defaults.h"
#include "parts/embedded.h"
#include "parts/level_text.h"
#include "parts/part_build.h"
#include "parts/pin_traits.h"
#include "quantity/print.h"
#include "quantity/scan.h"
#include "records/in_order.h"

namespace voltsill {

struct CatalogueSources {
    Traits traits;
    Functions functions;
    std::map<std::string, std::shared_ptr<const FamilyRecord>, std::less<>> families;
};

/// Reads part files into a catalogue: first every record of all files, then what they make together,
/// so that files may refer to each other in any order.
class CatalogueReader {
  public:
    explicit CatalogueReader(Catalogue base) : catalogue_(std::move(base)) {
        if (catalogue_.sources_) sources_ = *catalogue_.sources_;
    }

    void read_file(std::string_view bytes, const std::string& file, Problems& problems) {
        texts_.push_back(parse_toml(bytes, file));
        mistakes_.know(*texts_.back().source);
        Reader reader(texts_.back());
        PartFile records = read(part_file_shape(), texts_.back().root, reader);
        const Problems found = reader.take();
        problems.insert(problems.end(), found.begin(), found.end());
        take(records.traits, sources_.traits, new_traits_);
        take(records.functions, sources_.functions, new_functions_);
        take(records.families, sources_.families, new_families_);
        for (auto& type : records.types) types_.push_back(std::move(type));
    }

    void add_types(const std::vector<Named<TypeRecord>>& types, const Source& source) {
        mistakes_.know(source);
        types_ = types;
    }

    Catalogue finish(Problems& problems) {
        PinBuilder pins(sources_.traits, mistakes_);
        for (const std::string& name : new_traits_) pins.check_trait(name);
        LogicBuilder logic(sources_.functions, pins, mistakes_);
        for (const std::string& name : new_functions_) logic.check_function(name);
        for (const std::string& name : new_families_)
            for (const auto& type : logic.build(name, *sources_.families.find(name)->second))
                catalogue_.add(type);
        check_names();
        const Types known = catalogue_.types_;
        for (const auto& type : TypeBuilder(known, types_, pins, mistakes_).build()) catalogue_.add(type);
        const Problems found = mistakes_.take();
        problems.insert(problems.end(), found.begin(), found.end());
        catalogue_.sources_ = std::make_shared<const CatalogueSources>(std::move(sources_));
        return std::move(catalogue_);
    }

    /// Whatever is wrong in a trait was told when its file was read.
    static std::vector<PinTrait> traits_of(const Catalogue& catalogue) {
        std::vector<PinTrait> out;
        if (!catalogue.sources_) return out;
        Mistakes told_before;
        PinBuilder pins(catalogue.sources_->traits, told_before);
        for (const auto& [name, record] : catalogue.sources_->traits) {
            PinTrait trait{.name = name, .like = record->like.value_or(""), .part = {.name = name}};
            trait.part.supplies.push_back({.name = "supply"});
            PinLayers layers;
            pins.collect(*record, defaults::unstated, layers);
            trait.part.pins = {pins.build({.name = "PIN"}, layers, trait.part.supplies)};
            trait.part.origin = inherited(defaults::unstated, *record);
            trait.part.note = trait.pin().note;
            trait.part.title = title_of(trait.pin());
            out.push_back(std::move(trait));
        }
        return out;
    }

  private:
    static std::string title_of(const Pin& pin) {
        if (pin.role == PinRole::passive) return "base: the pin says itself what it is";
        std::string title(to_word(pin.role));
        if (pin.schmitt) title += ", Schmitt trigger";
        if (!pin.thresholds.empty()) {
            const ThresholdRow& row = pin.thresholds.front();
            title += ", low to " + print(row.low) + ", high from " + print(row.high);
            if (pin.thresholds.size() > 1) title += " at " + print(row.supply);
        }
        for (const Pull& pull : pin.pulls)
            title += std::string(pull.up ? ", pull-up " : ", pull-down ") + print(pull.ohms.span);
        return title;
    }

    /// Files read together must not describe a name twice; a later run may replace a record.
    template <class T, class Map>
    void take(std::vector<Named<T>>& records, Map& map, std::vector<std::string>& names) {
        for (auto& [name, place, record] : records) {
            if (std::ranges::find(names, name) != names.end())
                mistakes_.conflict(place, map.find(name)->second->place, "duplicate-name",
                                   in_quotes(name) + " is described twice");
            else
                names.push_back(name);
            map.insert_or_assign(name, std::make_shared<const T>(std::move(record)));
        }
    }

    void check_names() {
        std::map<std::string_view, const Named<TypeRecord>*> seen;
        for (const Named<TypeRecord>& type : types_) {
            const auto [other, fresh] = seen.emplace(type.name, &type);
            if (!fresh)
                mistakes_.conflict(type.place, other->second->place, "duplicate-name",
                                   "type " + in_quotes(type.name) + " is described twice");
            const auto same = [&](const auto& known) { return known->name == type.name; };
            if (type.value.like != type.name && std::ranges::any_of(catalogue_.types_, same))
                mistakes_.warning(type.place, "hides-type",
                                  "the catalogue has a type " + in_quotes(type.name) + " too",
                                  "another name, or like = \"" + type.name + "\" to build on it");
        }
    }

    Catalogue catalogue_;
    CatalogueSources sources_;
    std::vector<ParsedText> texts_;
    std::vector<std::string> new_traits_, new_functions_, new_families_;
    std::vector<Named<TypeRecord>> types_;
    Mistakes mistakes_;
};

namespace {

std::string lower_case(std::string_view text) {
    std::string result(text);
    for (char& c : result)
        if ('A' <= c && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return result;
}

std::vector<std::string> lower_words(std::string_view text) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : lower_case(text) + " ") {
        if (c != ' ' && c != '\t' && c != '\n') {
            word += c;
            continue;
        }
        if (!word.empty()) words.push_back(std::move(word));
        word.clear();
    }
    return words;
}

bool says_all(const PartType& type, const std::vector<std::string>& words) {
    const std::string text =
        lower_case(type.name + '\n' + type.title + '\n' + type.function + '\n' + type.note);
    return std::ranges::all_of(
        words, [&](const std::string& word) { return text.find(word) != std::string::npos; });
}

}  // namespace

void Catalogue::add(const std::shared_ptr<const PartType>& type) {
    const auto same = [&](const auto& other) { return other->name == type->name; };
    const auto known = std::ranges::find_if(types_, same);
    if (known == types_.end())
        types_.push_back(type);
    else
        *known = type;
}

Catalogue Catalogue::read_built_in(Problems& problems) {
    CatalogueReader reader{Catalogue{}};
    for (const EmbeddedFile& file : embedded_catalogue()) reader.read_file(file.text, file.name, problems);
    return reader.finish(problems);
}

const Catalogue& Catalogue::built_in() {
    static const Catalogue catalogue = [] {
        Problems problems;
        return read_built_in(problems);
    }();
    return catalogue;
}

Catalogue Catalogue::with_file(std::string_view bytes, const std::string& file, Problems& problems) const {
    CatalogueReader reader{*this};
    Problems found;
    reader.read_file(bytes, file, found);
    Catalogue result = reader.finish(found);
    append_in_order(problems, std::move(found), file);
    return result;
}

Catalogue Catalogue::with_types(const std::vector<Named<TypeRecord>>& types, Reader& reader) const {
    CatalogueReader own{*this};
    own.add_types(types, reader.source());
    Problems problems;
    Catalogue result = own.finish(problems);
    for (Problem& problem : problems) reader.add(std::move(problem));
    return result;
}

const PartType* Catalogue::find(std::string_view name) const {
    for (const auto& type : types_)
        if (type->name == name) return type.get();
    const std::size_t blank = name.rfind(' ');
    if (blank == std::string_view::npos) return nullptr;
    const std::string_view package = name.substr(blank + 1);
    for (const auto& type : types_)
        if (type->name == name.substr(0, blank))
            return std::ranges::find(type->packages, package, &Package::name) != type->packages.end()
                       ? type.get()
                       : nullptr;
    return nullptr;
}

const Package* Catalogue::package_in(const PartType& type, std::string_view name) {
    for (const Package& package : type.packages)
        if (name.ends_with(' ' + package.name) || name == package.name) return &package;
    for (const Package& package : type.packages)
        if (package.fits_board) return &package;
    return type.packages.empty() ? nullptr : &type.packages.front();
}

std::vector<std::string> Catalogue::names() const {
    std::vector<std::string> names;
    for (const auto& type : types_) names.push_back(type->name);
    return names;
}

std::vector<const PartType*> Catalogue::search(std::string_view query) const {
    const std::vector<std::string> words = lower_words(query);
    std::vector<const PartType*> found;
    for (const auto& type : types_)
        if (says_all(*type, words)) found.push_back(type.get());
    return found;
}

std::vector<PinTrait> pin_traits(const Catalogue& catalogue) { return CatalogueReader::traits_of(catalogue); }

std::vector<PinTrait> pin_traits(const Catalogue& catalogue, std::string_view query) {
    std::vector<PinTrait> found = pin_traits(catalogue);
    std::erase_if(found, [words = lower_words(query)](const PinTrait& trait) { return !says_all(trait.part, words); });
    return found;
}

int PartType::pin_index(std::string_view pin) const {
    const auto exact = std::ranges::find(pins, pin, &Pin::name);
    if (exact != pins.end()) return static_cast<int>(exact - pins.begin());
    for (std::size_t i = 0; i < pins.size(); ++i)
        if (pins[i].name == '/' + std::string(pin) || '/' + pins[i].name == pin) return static_cast<int>(i);
    return -1;
}

int PartType::supply_index(std::string_view supply) const {
    const auto found = std::ranges::find(supplies, supply, &SupplyPort::name);
    return found == supplies.end() ? -1 : static_cast<int>(found - supplies.begin());
}

int PartType::ground_pin() const {
    const auto found = std::ranges::find(pins, PinRole::ground, &Pin::role);
    return found == pins.end() ? -1 : static_cast<int>(found - pins.begin());
}

}  // namespace voltsill
