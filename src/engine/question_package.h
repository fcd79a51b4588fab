#pragma once
/// Questions as a package of IMS Question and Test Interoperability, version 2.1 (IMS Global, final release of
/// 31 August 2012), in IMS Content Packaging 1.1.4. Element names, their order and the namespaces are from
/// memory; tests hold what is written against a grammar of this subset that is ours.
///
///     imsmanifest.xml                      every test and every item is a resource
///     learner-01/test.xml                  assessmentTest: one part, one section, items in order
///     learner-01/item-1-noise-margin.xml   assessmentItem
///
/// A choice is a choiceInteraction, scored by the standard template match_correct. A number is a
/// textEntryInteraction, scored by `equal` with the tolerance of the question. The worked answer stands in a
/// rubricBlock that scorers and tutors see and candidates do not. The package holds the right answers, as any
/// package that can be scored: it goes to the instructor's system, not to learners.
#include <string>
#include <utility>
#include <vector>

#include "teaching/questions.h"

namespace voltsill {

/// Paths and XML; `title` names the tests.
std::vector<std::pair<std::string, std::string>> qti_files(const QuestionSet& set, const std::string& title);
/// The same as a stored ZIP archive.
std::string qti_package(const QuestionSet& set, const std::string& title);

}  // namespace voltsill
