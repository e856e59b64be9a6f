"""What a hash costs as it is served: the tests themselves hash cheaply."""

from argon2 import Type, extract_parameters

from tests.support.hashing import REAL, REAL_NOBODY


def test_a_hash_costs_as_much_as_is_recommended() -> None:
    # RFC 9106, section 4: where 2 GiB are too much, Argon2id with 3 passes, 4 lanes and 64 MiB.
    cost = extract_parameters(REAL.hash("every bird twice"))
    assert (cost.type, cost.time_cost, cost.parallelism, cost.memory_cost) == (Type.ID, 3, 4, 64 * 1024)


def test_the_password_of_nobody_takes_as_long_to_check_as_a_real_one() -> None:
    assert extract_parameters(REAL_NOBODY) == extract_parameters(REAL.hash("every bird twice"))
