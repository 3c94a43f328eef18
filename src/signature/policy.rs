//! What a package demands of the sign-offs of its sheets.

use super::field::{Principal, Role};
use super::pattern::PatternList;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Which roles must be signed for, and by whom.
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
}

/// No role is demanded and none can be signed for.
impl Default for Policy {
    fn default() -> Self {
        Self { roles: BTreeMap::new(), different_people: true }
    }
}

impl Policy {
    /// Whether somebody may hold a role.
    pub fn entitles(&self, role: Role, principal: &Principal) -> bool {
        self.roles.get(&role).is_some_and(|patterns| patterns.matches(principal.as_str()))
    }
}
