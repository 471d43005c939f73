using System.Globalization;
using System.Text;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes_Scripting_Tests;

/// <summary>Hidden characters, against Unicode's own properties and categories.</summary>
public class HiddenCharacterTests
{
    // PropList.txt, Bidi_Control, and DerivedCoreProperties.txt, Default_Ignorable_Code_Point, of the Unicode Character Database 14.0, as the library
    // of another language's interpreter (Perl 5.36, \p{Bidi_Control} and \p{Default_Ignorable_Code_Point}) lists them.
    private const string Properties =
        """
        00AD..00AD 034F..034F 061C..061C 115F..1160 17B4..17B5 180B..180F 200B..200F 202A..202E 2060..206F 3164..3164 FE00..FE0F
        FEFF..FEFF FFA0..FFA0 FFF0..FFF8 1BCA0..1BCA3 1D173..1D17A E0000..E0FFF
        """;

    // The code charts' names: BRAILLE PATTERN BLANK, EGYPTIAN HIEROGLYPH FULL BLANK and HALF BLANK, KHITAN SMALL SCRIPT FILLER, MUSICAL SYMBOL NULL NOTEHEAD.
    private const string DrawnAsNothing = "2800..2800 13441..13442 16FE4..16FE4 1D159..1D159";

    [Fact]
    public void AreThoseOfUnicodesPropertiesAndCategories()
    {
        var listed = $"{Properties} {DrawnAsNothing}".Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries).SelectMany(range =>
        {
            int[] ends = [.. range.Split("..").Select(end => int.Parse(end, NumberStyles.HexNumber, CultureInfo.InvariantCulture))];
            return Enumerable.Range(ends[0], ends[1] - ends[0] + 1);
        }).ToHashSet();
        for (int value = 0; value <= 0x10FFFF; value++)
        {
            if (Rune.IsValid(value))
            {
                // General categories Cc without tab, line feed and carriage return; Cf, Zl, Zp, Co and Cn.
                bool steers = CharUnicodeInfo.GetUnicodeCategory(value) is UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator
                    or UnicodeCategory.Format or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned
                    or UnicodeCategory.Control && value is not (9 or 10 or 13);
                HiddenCharacters.Holds(new Rune(value)).ShouldBe(listed.Contains(value) || steers, $"U+{value:X4}");
            }
        }
    }

    // One of each kind, by the code charts; those beyond U+FFFF are two chars.
    [Theory]
    [InlineData(0x2800)]
    [InlineData(0xFFF9)]
    [InlineData(0xFFFB)]
    [InlineData(0x13430)]
    [InlineData(0x1343F)]
    [InlineData(0x115F)]
    [InlineData(0x1160)]
    [InlineData(0x3164)]
    [InlineData(0xFFA0)]
    [InlineData(0x180E)]
    [InlineData(0xE0001)]
    [InlineData(0xE007F)]
    [InlineData(0xFE0F)]
    [InlineData(0xE01EF)]
    [InlineData(0x200D)]
    [InlineData(0x202E)]
    [InlineData(0xE000)]
    [InlineData(0x10FFFD)]
    [InlineData(0xFFFE)]
    public void WhatShowsNothingIsHidden(int value) => HiddenCharacters.Holds(new Rune(value)).ShouldBeTrue();

    // A letter, a mark upon one, a kanji, a wide space, a bird, a private-looking sign that is none, the sign for what can't be shown.
    [Theory]
    [InlineData(0xE9)]
    [InlineData(0x301)]
    [InlineData(0x6F22)]
    [InlineData(0x3000)]
    [InlineData(0x1F426)]
    [InlineData(0x2801)]
    [InlineData(0xFFFD)]
    public void WhatShowsSomethingIsNot(int value) => HiddenCharacters.Holds(new Rune(value)).ShouldBeFalse();

    [Theory]
    [InlineData("int a = 1; // \u202e")]
    [InlineData("string s = \"\u2066\";")]
    [InlineData("string s = \"\"\"\u200d\"\"\";")]
    [InlineData("/* \ufeff */ int a = 1;")]
    [InlineData("#region \u00ad\n#endregion")]
    [InlineData("string s = $\"{1}\u180e\";")]
    [InlineData("string s = \"\u2800\";")]
    [InlineData("// \U00013430")]
    public void AreRefusedAnywhereAtTheirPlace(string source) =>
        Recipe.Places(Recipe.Compile("Report.Note(\"\");\n" + source)).ShouldBe([$"R2003 recipe(2,{source.ToList().FindIndex(c => c > 0x7f) + 1})"]);

    // C# 6.3.1: it ends a line, and so the comment; with a line feed it is how some systems end one.
    [Fact]
    public void ACarriageReturnAloneIsRefused()
    {
        Recipe.Places(Recipe.Compile("Report.Note(\"\");\n// harmless\rReport.Note(\"I ran\");")).ShouldBe(["R2003 recipe(2,12)"]);
        Recipe.Compile("Recipe.Title(\"T\");\r\nRecipe.Purpose(\"P.\");\r\nReport.Note(\"\");\r\n").Reply.Problems.ShouldBeEmpty();
    }

    [Fact]
    public void AreRefusedInSnippets() =>
        Recipe.Places(Recipe.Compile("#load \"snippets/x.csx\"", new LoadedText("snippets/x.csx", "int a = 1;\n// \u202e")))
            .ShouldBe(["R2003 snippets/x.csx(2,4)"]);

    [Theory]
    // A Cyrillic a, written out and as an escape; a no-break space.
    [InlineData("int w\u0430ng = 1;", 5)]
    [InlineData("int w\\u0430ng = 1;", 5)]
    [InlineData("int\u00a0wing = 1;", 4)]
    [InlineData("int @\u00e9t\u00e9 = 1;", 5)]
    [InlineData("void F\u00fc() { }", 6)]
    [InlineData("record R(int \u00c4);", 14)]
    [InlineData("goto \u00e9; \u00e9: ;", 6)]
    public void NamesAndSpacesOfOtherScriptsAreRefused(string source, int column) =>
        Recipe.Places(Recipe.Compile(source))[0].ShouldBe($"R2003 recipe(1,{column})");
}
