using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>A finding's frame in a picture and the plate with its number; px of the art.</summary>
/// <param name="Mark">The frame.</param>
/// <param name="Plate">The plate.</param>
/// <param name="Rank">Which color and dashes it has.</param>
internal sealed record FindingMark(PageMark Mark, Box Plate, int Rank);

internal sealed partial class Page
{
    // Colors with dashes of their own in page.css.
    private const int MostPlaces = 500, Ranks = 6;

    /// <summary>What is found, the worst first: its name on the picture and in the list.</summary>
    public static string FindingName(int index) => $"F{Numeral.Plain(index + 1)}";

    /// <summary>A frame around each finding, the whole picture where it has no box, and a plate at its upper left corner that lies on no other plate.</summary>
    /// <param name="art">The picture's size.</param>
    /// <param name="boxes">Where they are; null for the whole picture.</param>
    public static ImmutableArray<FindingMark> FindingMarks(TileGrid art, ImmutableArray<Box?> boxes)
    {
        var taken = new List<Box>();
        var frames = new List<Box>();
        int unit = UnitOf(art);
        return [.. boxes.Select((box, i) =>
        {
            frames.Add(Apart(AtLeast(box ?? new Box(0, 0, art.Width, art.Height), unit / 2), frames, unit / 3));
            var mark = new PageMark("finding", FindingName(i), frames[^1]);
            // In a picture without room plates lie on one another rather than nowhere.
            var plate = Places(mark, art).Take(MostPlaces)
                .FirstOrDefault(place => !taken.Exists(other => !other.Within(place).IsEmpty), Places(mark, art).First());
            taken.Add(plate);
            return new FindingMark(mark, plate, i % Ranks);
        })];
    }

    // Frames on the same edges would be one line: each further one lies inside of the others, as far as there is room.
    private static Box Apart(Box box, List<Box> others, int gap)
    {
        while (others.Exists(other => Math.Abs(other.X - box.X) < gap && Math.Abs(other.Y - box.Y) < gap && Math.Abs(other.Right - box.Right) < gap
            && Math.Abs(other.Bottom - box.Bottom) < gap) && Math.Min(box.Width, box.Height) > 4 * gap)
        {
            box = box.Grow(-gap);
        }

        return box;
    }

    // Above the frame's corner, or inside it where the picture ends there; then on to the right, and row by row down the picture.
    private static IEnumerable<Box> Places(PageMark mark, TileGrid art)
    {
        int unit = UnitOf(art), high = unit + (unit / 4), wide = WidthOf(mark.Name, unit);
        int left = Math.Clamp(mark.Box.X, 0, Math.Max(0, art.Width - wide)), top = mark.Box.Y >= high ? mark.Box.Y - high : mark.Box.Y;
        for (int y = Math.Min(top, Math.Max(0, art.Height - high)), x = left; ; x += wide)
        {
            if (x > left && x + wide > art.Width)
            {
                (x, y) = (left, (y + high) % Math.Max(1, art.Height - high));
            }

            yield return new Box(x, y, wide, high);
        }
    }

    /// <summary>A picture with every finding framed and numbered.</summary>
    public Page FindingsPane(Plane<Rgba8> picture, TileGrid art, ImmutableArray<FindingMark> marks)
    {
        OpenPane("Where they are", picture, art, "The art in gray, what was found marked");
        int unit = UnitOf(art);
        // All frames lie below all plates, so that no line crosses a number.
        foreach (var (mark, _, rank) in marks)
        {
            Open("a", ("class", $"rank{rank}"), ("href", $"#{mark.Id}"), ("tabindex", "-1"), ("aria-hidden", "true"), ("data-spot", mark.Id));
            foreach (string stroke in (ReadOnlySpan<string>)["halo", "line"])
            {
                Framed(mark.Box, stroke);
            }

            Close();
        }

        foreach (var (mark, plate, rank) in marks)
        {
            Open("a", ("class", $"rank{rank}"), ("href", $"#{mark.Id}"), ("aria-label", mark.Label), ("data-spot", mark.Id));
            Framed(plate, "plate");
            Open("text", ("class", "onplate"), ("x", Numeral.Plain(plate.X + (plate.Width / 2))), ("y", Numeral.Plain(plate.Y + unit)),
                ("font-size", Numeral.Plain(unit)), ("text-anchor", "middle")).Text(mark.Name).Close();
            Close();
        }

        return Close().Close().Close().Close();
    }

    /// <summary>A finding's number with its color and dashes, as its frame has them.</summary>
    public Page FindingKey(int index)
    {
        string rank = $"rank{index % Ranks}";
        Open("span", ("class", $"key {rank}")).Element("span", FindingName(index), "plate");
        Open("svg", ("viewBox", "0 0 48 6"), ("width", "48"), ("height", "6"), ("aria-hidden", "true"));
        return Open("line", ("class", "line"), ("x1", "0"), ("y1", "3"), ("x2", "48"), ("y2", "3")).Close().Close().Close();
    }

    private void Framed(Box box, string style) => Open("rect", ("class", style),
        ("x", Numeral.Plain(box.X)), ("y", Numeral.Plain(box.Y)), ("width", Numeral.Plain(box.Width)), ("height", Numeral.Plain(box.Height))).Close();
}
