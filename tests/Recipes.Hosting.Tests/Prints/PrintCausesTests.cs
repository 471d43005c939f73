using System.Text;
using Recipes.Files;
using Recipes.Hosting.Tickets;
using Recipes.Problems;
using Recipes.Tests;

namespace Recipes.Hosting.Tests.Prints;

/// <summary>The causes of bad prints: the program's own, and a shop's list, which is refused or read whatever anybody wrote.</summary>
public class PrintCausesTests
{
    private const string Lint = """{ "name": "lint", "what": "Lint lay under the ink.", "helps": "roll the garment, then recipes check ART" }""";

    // A hundredth each time; all of it with RECIPES_FUZZ=all.
    private static int Rounds => Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 1000;

    // What goes wrong in a print shop, as the trade names it: common practice, no source.
    [Fact]
    public void The_program_knows_the_usual_causes()
    {
        PrintCauses.Shipped.Select(cause => cause.Name).ShouldBe(
            ["wrong-garment", "white-missing", "dust", "mottled-black", "rim", "color", "placement", "head-strike", "pretreatment", "curing", "file"]);
        PrintCauses.Shipped.ShouldAllBe(cause => cause.What.EndsWith('.') && !cause.What.Contains('\n') && char.IsUpper(cause.What[0]));
        PrintCauses.Shipped.Single(cause => cause.Name == "dust").HelpsWith("harbor run.png").ShouldBe("recipes dry-run clean-background 'harbor run.png'");
        PrintCauses.Shipped.Single(cause => cause.Name == "curing").HelpsWith("puffin.png").ShouldBeNull();
    }

    [Fact]
    public void A_shop_s_cause_has_what_the_list_says()
    {
        var lint = Read(List(Lint)).ShouldHaveSingleItem();
        lint.ShouldBe(new PrintCause("lint", "Lint lay under the ink.", "roll the garment, then recipes check ART"));
        lint.HelpsWith("a.png").ShouldBe("roll the garment, then recipes check a.png");
        (lint with { Helps = "ask for ARTWORK; recipes check ART" }).HelpsWith("a.png").ShouldBe("ask for ARTWORK; recipes check a.png");
        Read("""{ "causes": 1 }""").ShouldBeEmpty();
        Read("\uFEFF" + List(Lint)).ShouldHaveSingleItem();
        var hostile = Read(List(Lint.Replace("Lint lay", "Lint\\u202E\\n\\u001blay", StringComparison.Ordinal)))[0];
        hostile.What.ShouldAllBe(c => c >= ' ' && c < 127);
    }

    [Fact]
    public void An_unknown_cause_is_told_with_all_that_there_are()
    {
        var problem = Should.Throw<ProblemException>(() => PrintCauses.Find("dustt")).Problems[0];
        (problem.Code, problem.Code.Exit).ShouldBe((Codes.UnknownCause, ExitCode.Usage));
        PrintCauses.Shipped.ShouldAllBe(cause => problem.Message.Contains(cause.Name));
        problem.Hint.ShouldBe("Did you mean 'dust'?");
        Should.Throw<ProblemException>(() => PrintCauses.Find("moonlight")).Problems[0].Hint.ShouldContain("causes.json");
    }

    public static TheoryData<string, string> Bad => new()
    {
        { "[]", "not a JSON object" },
        { "{}", "\"causes\": 1" },
        { """{ "causes": 2, "list": [] }""", "'causes' takes" },
        { """{ "causes": 1, "lits": [] }""", "unknown field 'lits'" },
        { """{ "causes": 1, "list": {} }""", "'list' takes a list of at most 200" },
        { """{ "causes": 1, "list": [ { "what": "x" } ] }""", "'list[0].name' takes" },
        { List(Lint, Lint), "listed twice" },
        { List(Lint.Replace("\"lint\"", "\"Lint\"", StringComparison.Ordinal)), "'list[0].name' takes" },
        { List(Lint.Replace("\"lint\"", "\"<b>\"", StringComparison.Ordinal)), "'list[0].name' takes" },
        { List(Lint.Replace("\"lint\"", $"\"{new string('x', 41)}\"", StringComparison.Ordinal)), "'list[0].name' takes text of at most 40" },
        { List(Lint.Replace("Lint lay under the ink.", "  ", StringComparison.Ordinal)), "'list[0].what' takes" },
        { List(Lint.Replace("Lint lay under the ink.", new string('x', 201), StringComparison.Ordinal)), "'list[0].what' takes text of at most 200" },
        { List(Lint.Replace("\"helps\"", "\"help\"", StringComparison.Ordinal)), "unknown field 'list[0].help'" },
        { List(Lint)[..^3], "not valid JSON" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public void A_list_that_does_not_hold_is_refused_in_words(string json, string says)
    {
        var problem = Should.Throw<ProblemException>(() => Read(json)).Problems.ShouldHaveSingleItem();
        (problem.Code, problem.Where?.File).ShouldBe((Codes.BadCauses, "causes.json"));
        problem.Message.ShouldContain(says);
    }

    [Fact]
    public void It_is_bounded()
    {
        string[] many = [.. Enumerable.Range(0, 201).Select(i => Lint.Replace("\"lint\"", $"\"lint-{i}\"", StringComparison.Ordinal))];
        Read(List(many[..200])).Count.ShouldBe(200);
        Should.Throw<ProblemException>(() => Read(List(many))).Problems[0].Message.ShouldContain("at most 200");
        Should.Throw<ProblemException>(() => Read(new string(' ', (1024 * 1024) + 1))).Problems[0].Message.ShouldContain("longer than 1 MB");
    }

    [Fact]
    public void Mutated_lists_are_read_or_refused()
    {
        byte[] good = Encoding.UTF8.GetBytes(List(Lint));
        var random = new Random(20261201);
        int read = 0, refused = 0;
        for (int i = 0; i < Rounds; i++)
        {
            try
            {
                PrintCauses.Read([.. Damage.OfJson(good, random)], "causes.json").ShouldAllBe(cause => PlainName.Is(cause.Name));
                read++;
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.ShouldBe(Codes.BadCauses);
                refused++;
            }
        }

        (read > 0 && refused > 0).ShouldBeTrue();
    }

    private static string List(params string[] causes) => $$"""{ "causes": 1, "list": [ {{string.Join(", ", causes)}} ] }""";

    private static IReadOnlyList<PrintCause> Read(string json) => PrintCauses.Read(Encoding.UTF8.GetBytes(json), "causes.json");
}
