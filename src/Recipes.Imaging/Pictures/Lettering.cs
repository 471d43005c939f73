namespace Recipes.Imaging.Pictures;

/// <summary>A small bitmap alphabet of our own drawing, so that a picture has the same pixels on every machine.</summary>
/// <remarks>Five by seven dots and two rows below the line; digits, Latin letters and some punctuation. Anything else shows as <c>?</c>.</remarks>
public static partial class Lettering
{
    /// <summary>Dots from one character to the next.</summary>
    public const int Advance = 6;

    /// <summary>Dots from the top of a capital to the lowest row.</summary>
    public const int Height = 9;

    /// <summary>Dots from the top of a capital to the line it stands on.</summary>
    public const int CapitalHeight = 7;

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
