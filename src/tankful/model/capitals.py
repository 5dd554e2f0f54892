"""The eight Australian capitals by a postcode of their middle."""

POSTCODES = {
    "Adelaide": "5000",
    "Brisbane": "4000",
    "Canberra": "2600",
    "Darwin": "0800",
    "Hobart": "7000",
    "Melbourne": "3000",
    "Perth": "6000",
    "Sydney": "2000",
}
