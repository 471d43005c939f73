namespace Recipes.Shipped.Tests.Orders;

/// <summary>What doesn't hold yet, by order; everything else must. A list only gets shorter.</summary>
internal static class Known
{
    /// <summary>A spot of 1 mm2 or more is wrong, and nothing names it.</summary>
    public static readonly string[] Ruined =
    [
        "puffin.cream-paper.black", "puffin.scan.black", "puffin.scan.light", "boat.gray-paper.black", "boat.jpeg-75.black",
        "boat.enlarged-jpeg-85.black", "life-ring.scan.black", "two-figures.cut-out.black", "two-figures.paper.black", "wordmark.jpeg-75.black",
        "outlined-lettering.cut-out.black", "outlined-lettering.trimmed.black", "outlined-lettering.jpeg-80.black", "white-lettering.cut-out.black",
        "white-lettering.cut-out.black-opaque-white", "white-lettering.trimmed.black", "white-lettering.trimmed.black-opaque-white",
        "white-lettering.resized-cut-out.black", "white-lettering.resized-cut-out.black-opaque-white", "white-small-type.cut-out.black",
        "white-small-type.cut-out.black-opaque-white", "white-small-type.trimmed.black", "white-small-type.trimmed.black-opaque-white",
        "white-small-serif.cut-out.black", "white-small-serif.resized-cut-out.black", "names.scan.light", "tight-wordmark.jpeg-80.black",
        "stars.gray-paper.light", "pale-shapes.jpeg-85.light", "pale-shapes.scan.light", "tinted-darks.paper.black", "tinted-darks.jpeg-80.black",
        "cartoon-outlines.jpeg-60.black", "cartoon-outlines.jpeg-75.black", "cartoon-outlines.jpeg-95.black",
        "cartoon-outlines.enlarged-jpeg-75.black", "white-in-thin-outlines.cut-out.black", "white-in-thin-outlines.cut-out.black-opaque-white",
        "white-in-thin-outlines.trimmed.black", "white-in-thin-outlines.trimmed.black-opaque-white", "white-halftone.cut-out.black",
        "white-grunge.cut-out.black", "white-grunge.trimmed.black", "vignette.paper.light", "vignette.paper.black", "photo-pale-sky.as-drawn.light",
        "photo-pale-sky.as-drawn-jpeg-85.light", "checkers.as-drawn.light", "checkers.as-drawn.black", "sticker.cut-out.black",
        "sticker.trimmed.black", "crop-bottom.cut-out.black", "crop-white-corner.paper.black",
    ];

    /// <summary>A pale rim of over 0.5 mm2.</summary>
    public static readonly string[] Rimmed =
    [
        "puffin.cream-paper.black", "puffin.scan.black", "puffin.jpeg-60.black", "puffin.jpeg-85.black", "puffin.dark-rim.light",
        "puffin-black.jpeg-90.black", "boat.gray-paper.black", "boat.jpeg-75.black", "boat.enlarged-jpeg-85.black", "life-ring.jpeg-80.black",
        "life-ring.scan.black", "wordmark.paper.black", "wordmark.jpeg-75.black", "wordmark.rim-soft-1.black", "wordmark.rim-hard-8.black",
        "outlined-lettering.jpeg-80.black", "tight-wordmark.paper.black", "tight-wordmark.jpeg-80.black", "tinted-darks.paper.black",
        "tinted-darks.jpeg-80.black", "cartoon-outlines.jpeg-60.black", "cartoon-outlines.jpeg-75.black", "cartoon-outlines.enlarged-jpeg-75.black",
        "halftone.paper.black",
    ];

    /// <summary>More than 3 questions, or more than one beyond what the truth needs.</summary>
    public static readonly string[] OverAsked =
    [
        "wordmark.rim-hard-8.black",
    ];

    /// <summary>Asked although the truth needs no question; of the others at most a tenth may be.</summary>
    public static readonly string[] AskedForNothing =
    [
        "puffin.cut-out.black", "puffin.trimmed.black", "puffin.resized-cut-out.black", "puffin.rim-hard-2.black", "puffin.rim-soft-4.black",
        "puffin.dark-rim.black", "puffin-black.cut-out.black", "puffin-in-ring.rim-hard-6.black", "wordmark.rim-soft-1.black",
        "wordmark.rim-hard-8.black", "white-lettering.cut-out.black", "white-lettering.trimmed.black", "white-lettering.resized-cut-out.black",
        "white-small-type.cut-out.black", "white-small-type.trimmed.black", "white-small-serif.cut-out.black",
        "white-small-serif.resized-cut-out.black", "type-on-panel.cut-out.black", "stars.cut-out.black", "stars.trimmed.black",
        "tinted-darks.rim-soft-2.black", "red-shapes.rim-soft-5.black", "drop-shadow.cut-out.black", "crop-through.cut-out.black",
    ];

    /// <summary>Of another kind than it is.</summary>
    public static readonly string[] Misjudged =
    [
        "photo.as-drawn.light", "photo.as-drawn-jpeg-80.light", "photo.as-drawn-jpeg-80.black",
    ];
}
