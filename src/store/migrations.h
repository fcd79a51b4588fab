#pragma once
/// The shape of the store, as steps from one version to the next.
///
/// Version k is what the first k steps make; the file says its version itself (PRAGMA user_version). A step
/// that has been released never changes: what is wanted otherwise is another step.
#include <string>

#include "store/database.h"

namespace voltsill::store {

/// Brings the file to the last version, all steps at once or none. One sentence when it cannot: a file of a
/// later program, or one that is none of ours.
std::string migrate(Database& database);
/// Versions there are.
int last_version();

}  // namespace voltsill::store
