using System.Text;
using Recipes.Files;
using Recipes.Hosting.Setups;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Tests;

namespace Recipes.Hosting.Tests;

/// <summary>Setups from strangers: a setup, or a problem with exit code 2; never a fault.</summary>
public sealed class SetupFuzzTests
{
    private static int Rounds => Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 1000;

    [Theory]
    [InlineData("{\"name\":\"\\ud800\"}")]
    [InlineData("{\"\\udfff\":1}")]
    public void A_text_that_is_no_Unicode_is_refused_everywhere(string json)
    {
        byte[] bytes = Encoding.UTF8.GetBytes(json);
        Should.Throw<ProblemException>(() => SetupJson.Read(bytes, "mine.json", "mine")).Problems[0].Code.ShouldBe(Codes.BadSetup);
        OutsideJson.Parse(bytes).ShouldBeNull();
        bytes[^3] = 0xb7;
        OutsideJson.Parse(bytes).ShouldBeNull();
    }

    // 7 in from both sides leave nothing of 14 in.
    [Theory]
    [InlineData("14", "16", "6.99", true)]
    [InlineData("14", "16", "7", false)]
    [InlineData("16", "14", "7", false)]
    [InlineData("14", "16", "9", false)]
    public void A_margin_leaves_some_of_the_platen(string width, string height, string margin, bool read)
    {
        byte[] json = Encoding.UTF8.GetBytes($$"""{ "platen": { "width": {{width}}, "height": {{height}} }, "safeMargin": {{margin}} }""");
        if (read)
        {
            SetupJson.Read(json, "mine.json", "mine").PixelsPerInchFilling(1, 1).ShouldBeInRange(1, 1e6);
            return;
        }

        var problem = Should.Throw<ProblemException>(() => SetupJson.Read(json, "mine.json", "mine")).Problems[0];
        problem.Code.ShouldBe(Codes.BadSetup);
        problem.Message.ShouldContain($"'safeMargin' of {margin} in");
    }

    [Fact]
    public void Mutated_setups_are_read_or_refused()
    {
        byte[] good = Encoding.UTF8.GetBytes(SetupJson.Text(SetupStore.Shipped[0]));
        SetupJson.Read(good, "mine.json", "mine").Name.ShouldBe(SetupStore.Shipped[0].Name);
        foreach (var who in Enum.GetValues<Underbase>())
        {
            byte[] laid = Encoding.UTF8.GetBytes(SetupJson.Text(SetupStore.Shipped[0] with { Underbase = who }));
            SetupJson.Read(laid, "mine.json", "mine").Underbase.ShouldBe(who);
        }

        var random = new Random(20261125);
        int read = 0, refused = 0;
        for (int i = 0; i < Rounds; i++)
        {
            var bytes = Damage.OfJson(good, random);
            try
            {
                _ = SetupJson.Read([.. bytes], "mine.json", "mine");
                read++;
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.Exit.ShouldBe(ExitCode.Usage);
                refused++;
            }
        }

        (read + refused).ShouldBe(Rounds);
        refused.ShouldBeGreaterThan(Rounds / 4);
    }
}
