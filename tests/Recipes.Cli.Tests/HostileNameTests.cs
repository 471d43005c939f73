using System.Globalization;
using System.Text;

namespace Recipes.Cli.Tests;

/// <summary>
/// Names and notes come from strangers. None of them begins a line of its own, moves the cursor or turns the order of what is read (Unicode Bidirectional
/// Algorithm, UAX 9; ECMA-48), on standard output, on standard error, in the log or with --verbose.
/// </summary>
public sealed class HostileNameTests : IDisposable
{
    // A line feed and a sentence of the program's own, an escape sequence that clears the screen, a right-to-left override, a separator of lines,
    // one of C1, and what shows nothing: a blank, a filler, a selector and a tag.
    private const string Hostile = "x\nFORGED Kept as step 9.\r\u001b[2J\u202egnp\u2028FORGED\u0085\u2800\u3164\uFE0F\U000E0041";
    private readonly Shop shop = new();
    private readonly string art;

    public HostileNameTests()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no such names.");
        art = Hostile + ".png";
        Picture.WriteRing(shop.At(art));
        shop.Write(Hostile + ".csx",
            "Recipe.Title(\"Mine\\nFORGED\");\nRecipe.Purpose(\"Makes\\u001b[2J whites\\u202e printable.\");\n"
            + "Report.Note(\"One\\nFORGED\\u001b[2J\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n");
        shop.Write("lots.json",
            """{ "name": "lots", "platen": { "width": 12, "height": 14 }, "inkLot": "L1\nFORGED\u001b[2J\u202e", "pretreatment": "P\nFORGED" }""");
    }

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("--verbose")]
    [InlineData("--json")]
    public void None_of_them_writes_a_line_of_its_own(params string[] more)
    {
        string recipe = "./" + Hostile + ".csx", folder = art + ".dry-run";
        string[][] commands =
        [
            ["check", art, "--setup", "lots.json"],
            ["check", art + "missing"],
            ["show", recipe],
            ["show", Hostile],
            ["dry-run", recipe, art, "--setup", "lots.json"],
            ["commit", "--dry-run", folder, "--by", Hostile],
            ["commit", recipe, art, "--by", Hostile],
            ["history", art],
            ["undo", art],
            ["redo", art],
            ["printed", art, "--result", "bad", "--reason", "other", "--note", Hostile, "--by", Hostile],
            ["ticket", art, "-o", Hostile + ".html"],
            ["export", art, "-o", Hostile + ".out.png"],
            ["export", art, "-o", Hostile + ".out.png"],
            ["preview", art, "-o", Hostile + ".tee.png", "--garment", "#202020"],
            ["compare", art, Hostile + ".out.png"],
            ["run", "printable-whites", art, Hostile + "missing.png", "-o", Hostile, "--setup", "lots.json"],
            ["gang", art, "-o", Hostile + ".gang.png", "--setup", "lots.json"],
            ["history", "--all"],
            ["list", "--recipes", "."],
            ["setups", "show", Hostile],
            ["pack", recipe, "-o", Hostile + ".pack"],
            ["add", Hostile + ".pack"],
            ["add", "--from", Hostile],
            ["match", "--measured", Hostile, "--target", "#c8102e"],
            ["chart", "-o", Hostile + ".png/x.png"],
            ["test", recipe],
            ["keys", "new", Hostile],
            [Hostile],
            ["check", art, "--" + Hostile],
            ["demo", "-o", Hostile + ".demo"],
        ];
        foreach (string[] command in commands)
        {
            var answer = shop.Run([.. command, .. more]);
            answer.Exit.ShouldNotBe(70, answer.Out + answer.Err);
            Judge(answer.Out, command[0]);
            Judge(answer.Err, command[0]);
        }

        // They were used, not refused: steps were kept of that art, by that recipe.
        ((int)shop.Json("history", art).ShouldExit(0).Json["setups"]![0]!["head"]!).ShouldBeGreaterThan(0);
        string[] logs = Directory.GetFiles(Path.Combine(shop.Home, ".local/state/recipes"), "*.log");
        foreach (string log in logs)
        {
            Judge(File.ReadAllText(log), "log");
        }

        if (more is ["--verbose"])
        {
            logs.ShouldNotBeEmpty();
        }
    }

    private static void Judge(string text, string where)
    {
        foreach (var rune in text.EnumerateRunes())
        {
            bool hides = rune.Value != '\n' && Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format
                or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator || rune.Value is 0x2800 or 0x3164 or 0xFE0F;
            hides.ShouldBeFalse($"{where} wrote U+{rune.Value:X4}: {text}");
        }

        text.Split('\n').ShouldNotContain(line => line.TrimStart().StartsWith("FORGED", StringComparison.Ordinal), $"{where}: {text}");
    }
}
