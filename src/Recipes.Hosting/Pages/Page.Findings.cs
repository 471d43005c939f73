using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Pages;

/// <summary>A finding's frame in a picture and the plate with its number; px of the art.</summary>
internal sealed record FindingMark(PageMark Mark, Box Plate);

internal sealed partial class Page
{
    private const int MostPlaces = 500;

    /// <summary>What is found, the worst first: its name on the picture and in the list.</summary>
    public static string FindingName(int index) => $"F{Numeral.Plain(index + 1)}";

    /// <summary>A frame around each finding, the whole picture where it has no box, and a plate at its upper left corner that lies on no other plate.</summary>
    public static ImmutableArray<FindingMark> FindingMarks(TileGrid art, ImmutableArray<Finding> findings)
    {
        var taken = new List<Box>();
        return [.. findings.Select((finding, i) =>
        {
            var mark = new PageMark("finding", FindingName(i), finding.Box ?? new Box(0, 0, art.Width, art.Height));
            // In a picture without room plates lie on one another rather than nowhere.
            var plate = Places(mark, art).Take(MostPlaces)
                .FirstOrDefault(place => !taken.Exists(other => !other.Within(place).IsEmpty), Places(mark, art).First());
            taken.Add(plate);
            return new FindingMark(mark, plate);
        })];
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
        foreach (var (mark, plate) in marks)
        {
            Open("a", ("href", $"#{mark.Id}"), ("aria-label", mark.Label), ("data-spot", mark.Id));
            var box = AtLeast(mark.Box, unit / 2);
            foreach (string stroke in (ReadOnlySpan<string>)["halo", "line"])
            {
                Framed(box, stroke);
            }

            Framed(plate, "plate");
            Open("text", ("class", "onplate"), ("x", Numeral.Plain(plate.X + (plate.Width / 2))), ("y", Numeral.Plain(plate.Y + unit)),
                ("font-size", Numeral.Plain(unit)), ("text-anchor", "middle")).Text(mark.Name).Close();
            Close();
        }

        return Close().Close().Close().Close();
    }

    private void Framed(Box box, string style) => Open("rect", ("class", style),
        ("x", Numeral.Plain(box.X)), ("y", Numeral.Plain(box.Y)), ("width", Numeral.Plain(box.Width)), ("height", Numeral.Plain(box.Height))).Close();
}
