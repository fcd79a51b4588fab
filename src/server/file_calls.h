#pragma once
/// Files of the opened folder, and the examples.
#include "server/site.h"

namespace voltsill::server {

Answer list_files(Call& call);
Answer read_file(Call& call);
Answer save_file(Call& call);
Answer example(Call& call);
Answer watch_file(Call& call);  ///< a stream for as long as somebody reads it

}  // namespace voltsill::server
