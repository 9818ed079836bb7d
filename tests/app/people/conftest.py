from tests.app.both_grounds import empty_ground, ground, grounds, house

__all__ = ["empty_ground", "ground", "grounds", "house"]
