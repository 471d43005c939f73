using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Setups;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Tests;

namespace Recipes.Hosting.Tests.Garments;

/// <summary>The garment stock as it is read: what it takes, and that it refuses or reads whatever anybody wrote.</summary>
public class GarmentStockTests
{
    private const string Tee = """
        { "name": "harbor-tee", "style": "Harbor tee", "color": "navy", "cloth": "#1b2440", "fiber": "cotton", "setup": "black-garment", "white": false,
          "sizes": [ { "size": "M", "area": { "width": 12, "height": 14 } }, { "size": "2XL" } ] }
        """;

    // A hundredth each time; all of it with RECIPES_FUZZ=all.
    private static int Rounds => Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 1000;

    [Fact]
    public void A_garment_has_what_the_list_says_and_makes_a_setup()
    {
        var tee = Read(List(Tee)).ShouldHaveSingleItem();
        (tee.Name, tee.InWords(), tee.Cloth, tee.Setup, tee.White)
            .ShouldBe(("harbor-tee", "Harbor tee, navy, cotton", new Rgba8(0x1b, 0x24, 0x40), "black-garment", false));
        tee.Sizes.ShouldBe([new GarmentSize("M", 12, 14), new GarmentSize("2XL", null, null)]);
        var (setup, named) = (tee.ToSetup(), SetupStore.Find("black-garment"));
        setup.ShouldBe(named with { Name = "harbor-tee", Garment = tee.Cloth, Underbase = Underbase.None });
        (tee with { White = true }).ToSetup().Underbase.ShouldBe(named.Underbase);
        Read("""{ "garments": 1 }""").ShouldBeEmpty();
        Read("\uFEFF" + List(Tee)).ShouldHaveSingleItem();
        // A setup that is no shipped one is only looked for where the garment is used.
        var nobodys = Read(List(Tee.Replace("black-garment", "nobody-s", StringComparison.Ordinal)))[0];
        Should.Throw<ProblemException>(() => nobodys.ToSetup()).Problems[0].Code.ShouldBe(Codes.UnknownSetup);
    }

    [Theory]
    [InlineData(12, 14, null)]
    [InlineData(12.005, 14, null)]
    [InlineData(12.2, 3, "The ink is 12.20 x 3.00 in, more than M of Harbor tee, navy, cotton can take.")]
    [InlineData(3, 14.5, "The ink is 3.00 x 14.50 in, more than M of Harbor tee, navy, cotton can take.")]
    public void Ink_is_held_against_what_each_size_takes(double width, double height, string? says) =>
        Read(List(Tee))[0].TooSmall(width, height).ShouldBe(says);

    [Theory]
    [InlineData(12, 14, 1)]
    [InlineData(24, 7, 0.5)]
    [InlineData(6, 28, 0.5)]
    public void Ink_is_made_as_small_as_the_smallest_size_needs(double width, double height, double share) =>
        Read(List(Tee))[0].Fit(width, height).ShouldBe(share, 1e-9);

    public static TheoryData<string, string> Bad => new()
    {
        { "[]", "not a JSON object" },
        { "{}", "\"garments\": 1" },
        { """{ "garments": 2, "stock": [] }""", "'garments' takes" },
        { """{ "garments": 1, "stok": [] }""", "unknown field 'stok'" },
        { """{ "garments": 1, "stock": {} }""", "'stock' takes a list of at most 1000" },
        { """{ "garments": 1, "stock": [ 7 ] }""", "'stock[0]' takes an object" },
        { List(Tee, Tee), "listed twice" },
        { List(Tee.Replace("harbor-tee", "black-garment", StringComparison.Ordinal)), "called 'black-garment' already" },
        { List(Tee.Replace("harbor-tee", "../../x", StringComparison.Ordinal)), "'stock[0].name' takes" },
        { List(Tee.Replace("harbor-tee", "con", StringComparison.Ordinal)), "'stock[0].name' takes" },
        { List(Tee.Replace("black-garment", "/etc/passwd", StringComparison.Ordinal)), "'stock[0].setup' takes" },
        { List(Tee.Replace("black-garment", "x.json", StringComparison.Ordinal)), "'stock[0].setup' takes" },
        { List(Tee.Replace("#1b2440", "navy", StringComparison.Ordinal)), "'stock[0].cloth' takes a color" },
        { List(Tee.Replace("\"Harbor tee\"", "\"  \"", StringComparison.Ordinal)), "'stock[0].style' takes" },
        { List(Tee.Replace("Harbor tee", new string('x', 81), StringComparison.Ordinal)), "'stock[0].style' takes text of at most 80" },
        { List(Tee.Replace("\"2XL\"", "\"M\"", StringComparison.Ordinal)), "'stock[0].sizes' takes each size once" },
        { List(Tee.Replace("14 }", "140 }", StringComparison.Ordinal)), "'stock[0].sizes[0].area.height' takes" },
        { List(Tee.Replace(", \"height\": 14", "", StringComparison.Ordinal)), "'stock[0].sizes[0].area.height' takes inches" },
        { List(Tee.Replace("false", "\"no\"", StringComparison.Ordinal)), "'stock[0].white' takes true or false" },
        { List(Tee)[..^3], "not valid JSON" },
    };

    [Theory]
    [MemberData(nameof(Bad))]
    public void A_list_that_does_not_hold_is_refused_in_words(string json, string says)
    {
        var problem = Should.Throw<ProblemException>(() => Read(json)).Problems.ShouldHaveSingleItem();
        (problem.Code, problem.Where?.File).ShouldBe((Codes.BadGarments, "garments.json"));
        problem.Message.ShouldContain(says);
    }

    [Fact]
    public void It_is_bounded()
    {
        string[] many = [.. Enumerable.Range(0, 1001).Select(i => Tee.Replace("harbor-tee", $"tee-{i}", StringComparison.Ordinal))];
        Read(List(many[..1000])).Count.ShouldBe(1000);
        Should.Throw<ProblemException>(() => Read(List(many))).Problems[0].Message.ShouldContain("at most 1000");
        Should.Throw<ProblemException>(() => Read(new string(' ', (1024 * 1024) + 1))).Problems[0].Message.ShouldContain("longer than 1 MB");
    }

    [Fact]
    public void Its_texts_are_cleaned()
    {
        var tee = Read(List(Tee.Replace("Harbor tee", "Harbor\\u202E\\n\\u001btee", StringComparison.Ordinal)))[0];
        tee.Style.ShouldAllBe(c => c >= ' ' && c < 127);
        GarmentStock.ToJson(tee)["style"]!.GetValue<string>().ShouldBe(tee.Style);
    }

    [Fact]
    public void Mutated_lists_are_read_or_refused()
    {
        byte[] good = Encoding.UTF8.GetBytes(List(Tee));
        var random = new Random(20261130);
        int read = 0, refused = 0;
        for (int i = 0; i < Rounds; i++)
        {
            var bytes = Damage.OfJson(good, random);
            try
            {
                foreach (var garment in GarmentStock.Read([.. bytes], "garments.json"))
                {
                    PlainName.IsOfFile(garment.Name).ShouldBeTrue();
                }

                read++;
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.ShouldBe(Codes.BadGarments);
                refused++;
            }
        }

        (read > 0 && refused > 0).ShouldBeTrue();
    }

    private static string List(params string[] garments) => $$"""{ "garments": 1, "stock": [ {{string.Join(", ", garments)}} ] }""";

    private static IReadOnlyList<Garment> Read(string json) => GarmentStock.Read(Encoding.UTF8.GetBytes(json), "garments.json");
}
