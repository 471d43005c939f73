namespace Recipes.Shipped.Tests.Orders;

/// <summary>What doesn't hold yet, by order; everything else must. A list only gets shorter.</summary>
internal static class Known
{
    /// <summary>A spot of 1 mm2 or more is wrong, and nothing names it.</summary>
    public static readonly string[] Ruined = [];

    /// <summary>A pale rim of over 0.5 mm2.</summary>
    public static readonly string[] Rimmed = ["bib-number.jpeg-82.black", "life-ring.cream-jpeg-85.black"];

    /// <summary>More than 3 questions, or more than one beyond what the truth needs.</summary>
    public static readonly string[] OverAsked = [];

    /// <summary>Asked although the truth needs no question; of the others at most a tenth may be.</summary>
    public static readonly string[] AskedForNothing = [];

    /// <summary>Of another kind than it is.</summary>
    public static readonly string[] Misjudged = [];
}
