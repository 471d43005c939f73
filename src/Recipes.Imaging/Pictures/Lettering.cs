namespace Recipes.Imaging.Pictures;

/// <summary>A small bitmap alphabet of our own drawing, so that a picture has the same pixels on every machine.</summary>
/// <remarks>
/// Five by seven dots and two rows below the line; the printing characters of ASCII (ANSI X3.4). Anything else shows as <c>?</c>: whoever letters what others
/// wrote spells it first.
/// </remarks>
public static partial class Lettering
{
    /// <summary>Dots from one character to the next.</summary>
    public const int Advance = 6;

    /// <summary>Dots from the top of a capital to the lowest row.</summary>
    public const int Height = 9;

    /// <summary>Dots from the top of a capital to the line it stands on.</summary>
    public const int CapitalHeight = 7;

    // Letters and digits are at least this high in print, inches; smaller ones fill in on cloth. House value, no source.
    private const double PrintHeight = 2.0 / 25.4;
    private const int Columns = 5;
    private static readonly Dictionary<char, byte[]> Glyphs = Read();

    /// <summary>True where the alphabet has the character.</summary>
    public static bool Has(char character) => character == ' ' || Glyphs.ContainsKey(character);

    /// <summary>True where the character has a dot at a column (0 to 4) and row (0 to 8).</summary>
    public static bool IsDot(char character, int column, int row)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)column, (uint)Columns, nameof(column));
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)row, (uint)Height, nameof(row));
        return character != ' ' && (GlyphOf(character)[row] >> column & 1) != 0;
    }

    /// <summary>The width of a text in px at an integer scale, without the gap after its last character.</summary>
    public static int WidthOf(string text, int scale)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Length == 0 ? 0 : ((text.Length * Advance) - 1) * scale;
    }

    /// <summary>The integer scale at which text is readable in print: capitals of at least 2 mm.</summary>
    public static int PrintScale(double pixelsPerInch) => Math.Max(1, (int)Math.Ceiling(Math.Round(PrintHeight * pixelsPerInch / CapitalHeight, 6)));

    /// <summary>The color of printed text: the darkest black that prints, or the brightest white on dark cloth.</summary>
    public static Rgba8 InkOn(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return LabSpace.D50.Of(setup.Garment).L < 50 ? setup.Ink.BrightestWhite : setup.Ink.DarkestBlack;
    }

    /// <summary>A text in lines of at most so many px, broken between words, and inside of a word that is wider; a line holds at least one character.</summary>
    public static string[] Wrap(string text, int width, int scale)
    {
        ArgumentNullException.ThrowIfNull(text);
        int most = Math.Max(1, ((width / scale) + 1) / Advance);
        var lines = new List<string> { "" };
        foreach (string word in text.Split(' ').SelectMany(word => word.Length <= most ? [word] : word.Chunk(most).Select(part => new string(part))))
        {
            string longer = lines[^1].Length == 0 ? word : $"{lines[^1]} {word}";
            if (longer.Length > most)
            {
                lines.Add(word);
            }
            else
            {
                lines[^1] = longer;
            }
        }

        return [.. lines];
    }

    internal static byte[] GlyphOf(char character) => Glyphs.TryGetValue(character, out var rows) ? rows : Glyphs['?'];

    private static Dictionary<char, byte[]> Read()
    {
        var glyphs = new Dictionary<char, byte[]>();
        string[] lines = Drawing.ReplaceLineEndings("\n").Split('\n');
        for (int band = 0; band + Height < lines.Length; band += Height + 1)
        {
            string names = lines[band];
            for (int left = 0; left < names.Length; left += Advance)
            {
                var rows = new byte[Height];
                for (int y = 0; y < Height; y++)
                {
                    for (int x = 0; x < Columns; x++)
                    {
                        rows[y] |= (byte)(lines[band + 1 + y][left + x] == '#' ? 1 << x : 0);
                    }
                }

                glyphs.Add(names[left], rows);
            }
        }

        return glyphs;
    }
}
