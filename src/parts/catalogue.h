#pragma once
/// The catalogue: every part type Voltsill knows, read from TOML files that travel inside the
/// program, and from files of the user's own in the same words.
#include <memory>
#include <string_view>
#include <vector>

#include "parts/model.h"

namespace voltsill {

class Reader;
template <class T>
struct Named;
struct TypeRecord;

class Catalogue {
  public:
    /// The embedded files; built once. Problems in them are a defect and are tested for.
    static const Catalogue& built_in();
    /// Reads the embedded files again, with their problems.
    static Catalogue read_built_in(Problems& problems);

    /// A catalogue with the part types of `bytes` (a part file) added on top of this one.
    /// Families, functions and traits of this catalogue may be referred to.
    Catalogue with_file(std::string_view bytes, const std::string& file, Problems& problems) const;

    /// With types that another file holds in a table `types` (parts/part_records.h, `type_shape`);
    /// a type may be `like` one of this catalogue, or hide one of the same name. `reader` is that
    /// file's, and gets the problems.
    Catalogue with_types(const std::vector<Named<TypeRecord>>& types, Reader& reader) const;

    /// Nearest-name help and listing; "HCT 541 DIP-20" finds "HCT 541".
    const PartType* find(std::string_view name) const;
    /// The package named at the end of a type name, or the first that fits a solderless board.
    static const Package* package_in(const PartType& type, std::string_view name);
    std::vector<std::string> names() const;
    const std::vector<std::shared_ptr<const PartType>>& types() const { return types_; }
    /// Types whose name, title, function or note hold all words of `query` (case ignored).
    std::vector<const PartType*> search(std::string_view query) const;

  private:
    friend class CatalogueReader;
    void add(const std::shared_ptr<const PartType>& type);

    std::vector<std::shared_ptr<const PartType>> types_;
    std::shared_ptr<const struct CatalogueSources> sources_;  ///< families, functions, traits by name
};

}  // namespace voltsill
