#pragma once
/// Lengthy work: streams that tell how far it is, and paper.
#include "server/site.h"

namespace voltsill::server {

Answer trace_links(Call& call);  ///< results with more and more samples
Answer build_boards(Call& call);  ///< first without slips, which take longest
Answer diagnose_build(Call& call);  ///< the first of a bench predicts every fault, the next ones know them
Answer sheet_pages(Call& call);
Answer sheet_pdf(Call& call);

}  // namespace voltsill::server
