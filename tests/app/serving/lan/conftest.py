from tests.app.serving.served import served

__all__ = ["served"]
