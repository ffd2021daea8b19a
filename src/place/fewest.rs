//! The fewest moves that make a picture usable.

use rayon::prelude::*;

use super::lever::Lever;
use super::plan::Plan;
use super::task::{Answer, Task};
use crate::rig::{Measure, SeatQuantity};

/// The most promising choices that are followed to their end.
const FOLLOWED: usize = 4;
/// The most promising single values that are tried in pairs.
const PAIRED: usize = 10;
/// Most values that are sought together where nobody named them.
const TOGETHER: usize = 24;
/// An unusable plan is worth saying where it leaves at most this share of the error.
const WORTH: f64 = 0.5;

/// The moves of one setting, from what it is without any.
#[derive(Debug)]
pub(crate) struct Fewest<'a> {
    pub task: &'a Task<'a>,
    pub base: &'a Answer,
    /// What may be moved.
    pub pool: Vec<Lever>,
    /// What the plans' names begin with.
    pub name: &'a str,
    /// What the plan without moves leaves, in radians.
    pub merit_rad: f64,
    /// Somebody named what may be moved, and is told the best of it, usable or not.
    pub is_asked: bool,
    /// The seat goes level with the program's eye first, which the task can't tell.
    pub is_levelled: bool,
}

impl Fewest<'_> {
    /// The best with one value, then with two, then with all, up to the first that is
    /// usable. One that is not is named if it helps.
    pub(crate) fn plans(&self) -> Vec<Plan> {
        let mut plans: Vec<Plan> = Vec::new();
        let levelled = self.levelled();
        let starts = std::slice::from_ref(levelled.as_ref().unwrap_or(self.base));
        // Levelling is a move of its own.
        let own = usize::from(self.is_levelled);
        if self.is_levelled
            && let Some(plan) = self.task.plan(self.named(1), &starts[0], &[])
            && (plan.is_usable() || self.pool.len() < 2)
        {
            return vec![plan];
        }
        let pool: Vec<Lever> = self
            .pool
            .iter()
            .copied()
            .filter(|lever| !self.levels(*lever))
            .collect();
        let mut singles: Vec<(Vec<Lever>, Answer)> = (pool.par_iter())
            .map(|&lever| (vec![lever], self.task.look(&[lever], starts)))
            .collect();
        let single = self.best(&mut singles, starts, self.named(1 + own));
        if let Some((plan, _)) = &single {
            let helps = plan.merit_rad(self.task.jump_weight) < WORTH * self.merit_rad;
            if plan.is_usable() || helps || (self.is_asked && pool.len() == 1) {
                plans.push(plan.clone());
            }
            if plan.is_usable() {
                return plans;
            }
        }
        if pool.len() < 2 {
            return plans;
        }
        // The choices are sorted by now.
        let paired = singles.len().min(PAIRED);
        let mut pairs: Vec<(Vec<Lever>, Answer)> = (0..paired)
            .flat_map(|one| (one + 1..paired).map(move |other| (one, other)))
            .collect::<Vec<_>>()
            .into_par_iter()
            .map(|(one, other)| {
                let both = [singles[one].0[0], singles[other].0[0]];
                let from = if singles[one].1.cost <= singles[other].1.cost {
                    one
                } else {
                    other
                };
                let look = self
                    .task
                    .look(&both, std::slice::from_ref(&singles[from].1));
                (both.to_vec(), look)
            })
            .collect();
        let mut from = starts.to_vec();
        from.extend(single.iter().map(|(_, answer)| answer.clone()));
        let pair = self.best(&mut pairs, &from, self.named(2 + own));
        if let Some((plan, answer)) = pair {
            let is_usable = plan.is_usable();
            let weight = self.task.jump_weight;
            let before = plans
                .last()
                .map_or(self.merit_rad, |last| last.merit_rad(weight));
            let helps = plan.merit_rad(weight) < WORTH * before;
            if is_usable || helps || (self.is_asked && pool.len() == 2) {
                plans.push(plan);
            }
            if is_usable || pool.len() == 2 {
                return plans;
            }
            from.push(answer);
        }
        if pool.len() > TOGETHER && !self.is_asked {
            return plans;
        }
        let all = self.task.moved(&pool, &from);
        if let Some(plan) = self.task.plan(self.named(pool.len()), &all, &pool)
            && (plan.is_usable() || self.is_asked)
        {
            plans.push(plan);
        }
        plans
    }

    /// All of these, moved together: never worse than fewer of them.
    pub(crate) fn together(&self, levers: &[Lever]) -> Option<(Plan, Answer)> {
        let levelled = self.levelled();
        let mut from = vec![levelled.unwrap_or_else(|| self.base.clone())];
        if levers.len() > 1 {
            let singles: Vec<Answer> = (levers.par_iter())
                .map(|&lever| self.task.moved(&[lever], &from))
                .collect();
            from.extend(singles);
        }
        let answer = self.task.moved(levers, &from);
        let plan = self.task.plan(self.named(levers.len()), &answer, levers)?;
        Some((plan, answer))
    }

    fn named(&self, moves: usize) -> String {
        const WORDS: [&str; 5] = [
            "one move",
            "two moves",
            "three moves",
            "four moves",
            "five moves",
        ];
        let words = moves.checked_sub(1).and_then(|index| WORDS.get(index));
        let moves = words.map_or_else(|| format!("{moves} moves"), |words| (*words).to_owned());
        if self.name.is_empty() {
            format!("{moves}, no window")
        } else {
            format!("{}, {moves}", self.name)
        }
    }

    fn levels(&self, lever: Lever) -> bool {
        self.is_levelled && lever.measure() == Measure::Seat(SeatQuantity::Height)
    }

    /// The answer with the seat level with the facing view's middle.
    fn levelled(&self) -> Option<Answer> {
        let lever = self
            .pool
            .iter()
            .copied()
            .find(|lever| self.levels(*lever))?;
        let mut answer = self.base.clone();
        answer.moved.push((lever, 0.0));
        Some(answer)
    }

    /// The best plan among choices, usable ones first.
    fn best(
        &self,
        choices: &mut [(Vec<Lever>, Answer)],
        starts: &[Answer],
        name: String,
    ) -> Option<(Plan, Answer)> {
        choices.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
        let mut found: Vec<(Plan, Answer)> = (choices.iter().take(FOLLOWED))
            .filter_map(|(levers, look)| {
                let mut from = vec![look.clone()];
                // What holds other levers elsewhere is no start for these.
                from.extend(
                    starts
                        .iter()
                        .filter(|start| {
                            let held = |(lever, _): &(Lever, f64)| {
                                levers.contains(lever) || self.levels(*lever)
                            };
                            start.moved.iter().all(held)
                        })
                        .cloned(),
                );
                let answer = self.task.refined(&from, levers);
                Some((self.task.plan(name.clone(), &answer, levers)?, answer))
            })
            .collect();
        let weight = self.task.jump_weight;
        found.sort_by(|a, b| {
            let order = |plan: &Plan| (!plan.is_usable(), plan.merit_rad(weight));
            let (one, other) = (order(&a.0), order(&b.0));
            one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
        });
        found.into_iter().next()
    }
}
