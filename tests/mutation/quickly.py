"""Plugin of pytest: a mutant that is found out is not asked for its simplest counterexample."""

from hypothesis import Phase, settings

settings.register_profile(
    "mutants",
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
)
