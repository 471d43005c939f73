using System.Globalization;
using System.Text;

namespace Recipes.Problems;

/// <summary>
/// Characters that show nothing of themselves, or make what stands beside them show in another order: with them a text reads otherwise than the
/// compiler reads it, and one name looks like another.
/// </summary>
/// <remarks>
/// By the Unicode Character Database: the general categories Cc, Cf, Zl, Zp, Co and Cn, of which the last two show whatever a font makes of them, at
/// the version that the runtime knows; the property Default_Ignorable_Code_Point (DerivedCoreProperties.txt), the same from version 14 to 17, which adds
/// fillers, joiners and selectors of other categories; and the characters that are drawn as nothing, by their names in the code charts. Bidi_Control
/// (PropList.txt) lies in Cf. What an emoji is made of (U+200D, U+FE0F) is among them: behind any other character it shows nothing as well, and
/// which sequences show something changes with each version of the standard and with each font.
/// </remarks>
public static class HiddenCharacters
{
    private static readonly (int First, int Last)[] Ignorable =
    [
        (0x00AD, 0x00AD), (0x034F, 0x034F), (0x061C, 0x061C), (0x115F, 0x1160), (0x17B4, 0x17B5), (0x180B, 0x180F), (0x200B, 0x200F), (0x202A, 0x202E),
        (0x2060, 0x206F), (0x3164, 0x3164), (0xFE00, 0xFE0F), (0xFEFF, 0xFEFF), (0xFFA0, 0xFFA0), (0xFFF0, 0xFFF8), (0x1BCA0, 0x1BCA3),
        (0x1D173, 0x1D17A), (0xE0000, 0xE0FFF),
    ];

    // Braille pattern blank; Egyptian hieroglyph full and half blank; Khitan small script filler; musical symbol null notehead.
    private static readonly int[] Blank = [0x2800, 0x13441, 0x13442, 0x16FE4, 0x1D159];

    /// <summary>Whether a character is one of them. Tabs and ends of lines aren't.</summary>
    public static bool Holds(Rune character)
    {
        int value = character.Value;
        return value < 0x80 ? Rune.IsControl(character) && value is not ('\t' or '\n' or '\r')
            : Rune.GetUnicodeCategory(character) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator
                or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned
            || Array.Exists(Ignorable, range => value >= range.First && value <= range.Last) || Blank.Contains(value);
    }

    /// <summary>A character as its number: <c>U+202E</c>.</summary>
    public static string NameOf(Rune character) => string.Create(CultureInfo.InvariantCulture, $"U+{character.Value:X4}");

    /// <summary>A character as C# escapes it: <c>\u202E</c>, <c>\U000E0041</c>.</summary>
    public static string Escape(Rune character) =>
        (character.IsBmp ? "\\u" : "\\U") + character.Value.ToString(character.IsBmp ? "X4" : "X8", CultureInfo.InvariantCulture);
}
