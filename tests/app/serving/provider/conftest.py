from tests.app.records_house import empty_home, house
from tests.app.serving.served import served

__all__ = ["empty_home", "house", "served"]
