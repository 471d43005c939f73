using System.Globalization;
using System.Text;

namespace Recipes.Checking;

/// <summary>
/// Characters that show nothing of themselves, or make what stands beside them show in another order: with them a text reads otherwise
/// than the compiler reads it.
/// </summary>
/// <remarks>
/// The properties Bidi_Control (PropList.txt) and Default_Ignorable_Code_Point (DerivedCoreProperties.txt) of the Unicode Character
/// Database, the same from version 14 to 17; and what ends a line for the compiler and not for most editors, with all other control characters.
/// </remarks>
public static class HiddenCharacters
{
    private static readonly (int First, int Last)[] Ranges =
    [
        (0x00AD, 0x00AD), (0x034F, 0x034F), (0x061C, 0x061C), (0x115F, 0x1160), (0x17B4, 0x17B5), (0x180B, 0x180F), (0x200B, 0x200F), (0x2028, 0x202E),
        (0x2060, 0x206F), (0x3164, 0x3164), (0xFE00, 0xFE0F), (0xFEFF, 0xFEFF), (0xFFA0, 0xFFA0), (0xFFF0, 0xFFF8), (0x1BCA0, 0x1BCA3),
        (0x1D173, 0x1D17A), (0xE0000, 0xE0FFF),
    ];

    /// <summary>Whether a character is one of them. Tabs and ends of lines aren't, nor half of a pair of surrogates that stands alone.</summary>
    public static bool Holds(Rune character)
    {
        int value = character.Value;
        return value < 0x80 ? Rune.IsControl(character) && value is not ('\t' or '\n' or '\r')
            : Rune.IsControl(character) || Array.Exists(Ranges, range => value >= range.First && value <= range.Last);
    }

    /// <summary>A character as its number: <c>U+202E</c>.</summary>
    public static string NameOf(Rune character) => string.Create(CultureInfo.InvariantCulture, $"U+{character.Value:X4}");
}
