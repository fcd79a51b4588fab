#include "records/in_order.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <tuple>

namespace voltsill {

void put_in_order(Problems& problems, std::string_view first) {
    std::map<std::string, std::size_t, std::less<>> files{{std::string(first), 0}};
    for (const Problem& p : problems) files.emplace(p.place.file, files.size());
    std::ranges::stable_sort(problems, {}, [&](const Problem& p) {
        return std::tuple(files.at(p.place.file), p.place.line == 0, p.place.line, p.place.column);
    });
}

void append_in_order(Problems& to, Problems found, std::string_view file) {
    put_in_order(found, file);
    to.insert(to.end(), std::make_move_iterator(found.begin()), std::make_move_iterator(found.end()));
}

}  // namespace voltsill
