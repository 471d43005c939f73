using System.Collections.Immutable;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>The part of an art that a page's overviews show: where anything prints and all that is marked, and a margin. On a platen most is bare.</summary>
/// <param name="Box">The part, px of the art.</param>
/// <param name="Art">The art's size.</param>
internal sealed record InkWindow(Box Box, TileGrid Art)
{
    // A margin of so much of the longer side; and where the part has more than this share of the art, the whole is easier to find one's way in.
    private const int MarginShare = 16;
    private const double Most = 0.6;

    /// <summary>The window onto states of one size.</summary>
    /// <param name="setup">The garment setup.</param>
    /// <param name="marked">What else has to be seen.</param>
    /// <param name="states">The states, flattened.</param>
    public static InkWindow Of(GarmentSetup setup, IEnumerable<Box> marked, params ReadOnlySpan<Plane<Rgba8>> states)
    {
        ArgumentNullException.ThrowIfNull(setup);
        var whole = new Box(0, 0, states[0].Width, states[0].Height);
        var ink = marked.Aggregate(default(Box), (box, mark) => box.Around(mark.Within(whole)));
        foreach (var state in states)
        {
            ink = ink.Around(Find.Printing(state, setup.Ink).Bounds ?? default);
        }

        var part = ink.Grow(Math.Max(ink.Width, ink.Height) / MarginShare).Within(whole);
        return new InkWindow(ink.IsEmpty || (double)part.Width * part.Height > Most * whole.Width * whole.Height ? whole : part, states[0].Grid);
    }

    /// <summary>All of an art.</summary>
    public static InkWindow Whole(TileGrid art) => new(new Box(0, 0, art.Width, art.Height), art);

    /// <summary>True where nothing is left out.</summary>
    public bool IsWhole => Box.Width == Art.Width && Box.Height == Art.Height;

    /// <summary>Its size.</summary>
    public TileGrid Grid => new(Box.Width, Box.Height);

    /// <summary>How many px of the art, squared, one px of its overview stands for.</summary>
    public int Shrink => Overview.ShrinkOf(Grid);

    /// <summary>That part of a plane.</summary>
    public Plane<T> Of<T>(Plane<T> plane)
        where T : unmanaged, IEquatable<T>
        => IsWhole ? plane : Crop.Of(plane, Box);

    /// <summary>A box as it lies in the window.</summary>
    public Box Of(Box box) => box.Within(Box) is var part && part.IsEmpty ? part : part with { X = part.X - Box.X, Y = part.Y - Box.Y };

    /// <summary>Marks as they lie in the window.</summary>
    public ImmutableArray<PageMark> Of(ImmutableArray<PageMark> marks) => [.. marks.Select(mark => mark with { Box = Of(mark.Box) })];

    /// <summary>What is shown, where that isn't all; else nothing.</summary>
    public string InWords() => IsWhole ? ""
        : $"Only the ink and a margin are shown, {Numeral.Of(Box.Width)} × {Numeral.Of(Box.Height)} px at {Numeral.Plain(Box.X)},{Numeral.Plain(Box.Y)} of "
            + $"{Numeral.Of(Art.Width)} × {Numeral.Of(Art.Height)} px; nothing prints around it. ";

    /// <summary>Opens a group of pictures of it, for the page's script.</summary>
    public Page Open(Page page, string group, params ReadOnlySpan<(string Name, string? Value)> more) => page.Open("div",
    [
        ("class", "panes"), ("data-group", group), ("data-x", Numeral.Plain(Box.X)), ("data-y", Numeral.Plain(Box.Y)), ("data-shrink", Numeral.Plain(Shrink)),
        ("data-width", Numeral.Plain(Box.Width)), ("data-height", Numeral.Plain(Box.Height)), .. more,
    ]);
}
