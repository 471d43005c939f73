using Recipes.Hosting.Packs;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>What a difference between two sources shows is what a compiler reads.</summary>
public sealed class SourceDiffTests
{
    [Fact]
    public void Hidden_characters_are_shown_escaped() =>
        SourceDiff.Between("int a = 1;\n", "int a = 1; // \u202e\u2066kite\u2069\u200b \U000E0041 \u30ad\n").ShouldBe(
            ["- int a = 1;", "+ int a = 1; // \\u202E\\u2066kite\\u2069\\u200B \\U000E0041 \u30ad"]);

    [Fact]
    public void Lines_that_differ_in_hidden_characters_alone_differ() =>
        SourceDiff.Between("\"a\"\n", "\"\u200da\"\n").ShouldBe(["- \"a\"", "+ \"\\u200Da\""]);
}
