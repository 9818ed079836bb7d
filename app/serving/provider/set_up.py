"""The shop's provider from the settings; its libraries are loaded only where it has one."""

from typing import TYPE_CHECKING

from app.errors import UsageError
from app.settings import Settings

if TYPE_CHECKING:
    from app.serving.provider.client import Provider


def provider_of(settings: Settings) -> "Provider | None":
    """Return the provider that these settings describe, None without one.

    Raises
    ------
    UsageError
        The settings describe half a provider, the demo is to have one, or its libraries are missing.
    """
    if not settings.oidc_issuer:
        if settings.oidc_client_id or settings.oidc_client_secret:
            msg = "GEARWITNESS_OIDC_CLIENT_ID is set without GEARWITNESS_OIDC_ISSUER: set both, or neither"
            raise UsageError(msg)
        return None
    if not settings.oidc_client_id:
        msg = (
            "GEARWITNESS_OIDC_ISSUER is set without GEARWITNESS_OIDC_CLIENT_ID: register this server at the "
            "provider, with the address …/sign-in/provider/back, and set the id that it gives"
        )
        raise UsageError(msg)
    if settings.demo:
        msg = "the demo's people are everybody's: leave the GEARWITNESS_OIDC settings empty for it"
        raise UsageError(msg)
    try:
        from app.serving.provider.client import Provider  # noqa: PLC0415 - a shop without one needs it not
    except ImportError as error:
        msg = "a provider needs more libraries: install them with pip install 'gearwitness[shop]'"
        raise UsageError(msg) from error
    return Provider(
        settings.oidc_issuer, settings.oidc_client_id, settings.oidc_client_secret, settings.oidc_label
    )
