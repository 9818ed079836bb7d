from tests.app.records_house import empty_home, house

__all__ = ["empty_home", "house"]
