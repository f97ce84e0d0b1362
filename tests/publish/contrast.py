"""Contrast of two colours as WCAG 2.2 defines it."""


def parts(colour: str) -> list[float]:
    """Red, green and blue, 0 to 1, of '#rgb' or '#rrggbb'."""
    full = "".join(2 * sign for sign in colour[1:]) if len(colour) == 4 else colour[1:]
    return [int(full[at : at + 2], 16) / 255 for at in (0, 2, 4)]


def luminance(colour: str) -> float:
    """WCAG 2.2, 'relative luminance'."""
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, 'contrast ratio'."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
