#pragma once
/// Brief work on the text of a bench, and on parts.
#include "server/site.h"

namespace voltsill::server {

Answer check_bench(Call& call);
Answer plan_bench(Call& call);
Answer read_bench_points(Call& call);
Answer report(Call& call);
Answer edit_text(Call& call);
Answer draw(Call& call);
Answer search_parts(Call& call);
Answer show_part(Call& call);

}  // namespace voltsill::server
