namespace Recipes.Shipped.Tests.Orders;

/// <summary>Letters drawn by us as center lines in a box of 1 x 1, so that no machine's fonts matter. A pen makes them bold or fine.</summary>
internal static class Lettering
{
    private static readonly Dictionary<char, (double Wide, string Data)> Lines = new()
    {
        ['A'] = (0.8, "M 0 1 L 0.5 0 L 1 1 M 0.18 0.66 L 0.82 0.66"),
        ['B'] = (0.66, "M 0 0 L 0 1 L 0.6 1 C 1.1 1 1.1 0.48 0.6 0.48 L 0 0.48 M 0.6 0.48 C 1 0.48 1 0 0.6 0 L 0 0"),
        ['C'] = (0.74, "M 1 0.2 C 0.85 0 0.7 0 0.5 0 C 0.2 0 0 0.2 0 0.5 C 0 0.8 0.2 1 0.5 1 C 0.7 1 0.85 1 1 0.8"),
        ['D'] = (0.74, "M 0 0 L 0 1 L 0.45 1 C 0.8 1 1 0.8 1 0.5 C 1 0.2 0.8 0 0.45 0 Z"),
        ['E'] = (0.58, "M 1 0 L 0 0 L 0 1 L 1 1 M 0 0.48 L 0.85 0.48"),
        ['F'] = (0.56, "M 1 0 L 0 0 L 0 1 M 0 0.48 L 0.85 0.48"),
        ['G'] = (0.78, "M 1 0.2 C 0.85 0 0.7 0 0.5 0 C 0.2 0 0 0.2 0 0.5 C 0 0.8 0.2 1 0.5 1 C 0.8 1 1 0.9 1 0.55 L 0.6 0.55"),
        ['H'] = (0.72, "M 0 0 L 0 1 M 1 0 L 1 1 M 0 0.48 L 1 0.48"),
        ['I'] = (0.02, "M 0.5 0 L 0.5 1"),
        ['K'] = (0.68, "M 0 0 L 0 1 M 1 0 L 0 0.6 M 0.35 0.4 L 1 1"),
        ['L'] = (0.54, "M 0 0 L 0 1 L 1 1"),
        ['M'] = (0.86, "M 0 1 L 0 0 L 0.5 0.7 L 1 0 L 1 1"),
        ['N'] = (0.72, "M 0 1 L 0 0 L 1 1 L 1 0"),
        ['O'] = (0.8, "M 0.5 0 C 0.2 0 0 0.2 0 0.5 C 0 0.8 0.2 1 0.5 1 C 0.8 1 1 0.8 1 0.5 C 1 0.2 0.8 0 0.5 0 Z"),
        ['P'] = (0.62, "M 0 1 L 0 0 L 0.55 0 C 1.15 0 1.15 0.55 0.55 0.55 L 0 0.55"),
        ['R'] = (0.66, "M 0 1 L 0 0 L 0.55 0 C 1.15 0 1.15 0.52 0.55 0.52 L 0 0.52 M 0.5 0.52 L 1 1"),
        ['S'] = (0.64, "M 1 0.16 C 0.8 0 0.65 0 0.5 0 C 0 0 -0.1 0.4 0.45 0.48 C 1.1 0.56 1.1 1 0.5 1 C 0.3 1 0.15 1 0 0.84"),
        ['T'] = (0.68, "M 0 0 L 1 0 M 0.5 0 L 0.5 1"),
        ['U'] = (0.7, "M 0 0 L 0 0.6 C 0 1.13 1 1.13 1 0.6 L 1 0"),
        ['V'] = (0.76, "M 0 0 L 0.5 1 L 1 0"),
        ['W'] = (1.05, "M 0 0 L 0.25 1 L 0.5 0.2 L 0.75 1 L 1 0"),
        ['Y'] = (0.74, "M 0 0 L 0.5 0.5 L 1 0 M 0.5 0.5 L 0.5 1"),
        ['0'] = (0.62, "M 0.5 0 C 0.1 0 0 0.2 0 0.5 C 0 0.8 0.1 1 0.5 1 C 0.9 1 1 0.8 1 0.5 C 1 0.2 0.9 0 0.5 0 Z"),
        ['1'] = (0.3, "M 0 0.25 L 1 0 L 1 1"),
        ['2'] = (0.6, "M 0 0.2 C 0.1 0 0.9 -0.1 0.98 0.28 C 1 0.5 0.5 0.7 0 1 L 1 1"),
        ['6'] = (0.62, "M 0.9 0.1 C 0.3 -0.1 0 0.3 0 0.65 C 0 1.1 1 1.1 1 0.66 C 1 0.25 0.1 0.3 0 0.65"),
        ['.'] = (0.02, "M 0.5 0.9 L 0.5 1"),
        ['-'] = (0.3, "M 0 0.55 L 1 0.55"),
    };

    // The ends of strokes that get a slab, by letter: place, in the box.
    private static readonly Dictionary<char, (double X, double Y)[]> Feet = new()
    {
        ['A'] = [(0, 1), (1, 1)], ['F'] = [(0, 1)], ['H'] = [(0, 0), (0, 1), (1, 0), (1, 1)], ['I'] = [(0.5, 0), (0.5, 1)],
            ['K'] = [(0, 0), (0, 1), (1, 0), (1, 1)],
        ['M'] = [(0, 1), (1, 1)], ['N'] = [(0, 1), (1, 0)], ['P'] = [(0, 1)], ['R'] = [(0, 1), (1, 1)], ['T'] = [(0.5, 1)], ['U'] = [(0, 0), (1, 0)],
            ['V'] = [(0, 0), (1, 0)],
        ['Y'] = [(0, 0), (1, 0), (0.5, 1)],
    };

    /// <summary>The center lines of a line of text whose capitals are so many px high; x and y are its upper left corner.</summary>
    /// <param name="gap">Between letters, of the height, from center line to center line.</param>
    /// <param name="serifs">Slabs at the ends.</param>
    public static string Text(string text, double x, double y, double height, double gap = 0.34, bool serifs = false)
    {
        var data = new System.Text.StringBuilder();
        foreach (char letter in text)
        {
            if (letter == ' ')
            {
                x += height * 0.6;
                continue;
            }

            var (wide, lines) = Lines[letter];
            data.Append(Shapes.Place(lines, x, y, wide * height, height));
            foreach (var (footX, footY) in serifs && Feet.TryGetValue(letter, out var feet) ? feet : [])
            {
                double at = x + (footX * wide * height);
                data.Append(Shapes.Line(at - (height * 0.13), y + (footY * height), at + (height * 0.13), y + (footY * height)));
            }

            x += (wide + gap) * height;
        }

        return data.ToString();
    }

    /// <summary>How wide a text is, of its height.</summary>
    public static double WidthOf(string text, double gap = 0.34) => text.Sum(letter => letter == ' ' ? 0.6 : Lines[letter].Wide + gap) - gap;
}
