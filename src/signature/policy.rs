//! What a package demands of the sign-offs of its sheets.

use super::field::{Principal, Role};
use super::pattern::PatternList;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Which roles must be signed for, by whom, and how.
///
/// ```toml
/// different_people = true
/// [roles]
/// creator  = ["*@fellmere.example"]
/// checker  = ["mk@fellmere.example", "rt@fellmere.example"]
/// approver = ["*@fellmere.example", "!guest-*@fellmere.example"]
/// ```
#[derive(Clone, Debug, Eq, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Policy {
    /// The roles that are demanded, and who may hold each; a role that is not named here cannot be signed for.
    pub roles: BTreeMap<Role, PatternList>,
    /// Whether nobody may hold two roles of one sheet; a person is known by principal and by key.
    pub different_people: bool,
    /// Whether a checker signs only when every line that needs it is ticked.
    pub all_lines_ticked: bool,
    /// Whether nobody signs in a role before those before it are signed for: creator, checker, approver.
    pub in_order: bool,
}

/// No role is demanded and none can be signed for.
impl Default for Policy {
    fn default() -> Self {
        Self { roles: BTreeMap::new(), different_people: true, all_lines_ticked: true, in_order: true }
    }
}

impl Policy {
    /// Whether somebody may hold a role.
    pub fn entitles(&self, role: Role, principal: &Principal) -> bool {
        self.roles.get(&role).is_some_and(|patterns| patterns.matches(principal.as_str()))
    }

    /// The rules as they are signed: `creator, checker; different people; every line ticked; in order`.
    ///
    /// Who may hold a role is not among them: people come and go, and whoever has signed must be entitled still when the
    /// sign-off is judged.
    pub fn rules(&self) -> String {
        let roles: Vec<&str> = self.roles.keys().map(|role| role.name()).collect();
        let demands = [
            (self.different_people, "different people"),
            (self.all_lines_ticked, "every line ticked"),
            (self.in_order, "in order"),
        ];
        let roles = if roles.is_empty() { "no roles".to_owned() } else { roles.join(", ") };
        demands.into_iter().filter(|(is_on, _)| *is_on).fold(roles, |rules, (_, words)| format!("{rules}; {words}"))
    }
}
