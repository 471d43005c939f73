using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests;

/// <summary>What a file says of the art that it was made from: one of four words, and never more than one more question.</summary>
public class KindHintTests
{
    private static readonly GarmentSetup Black = new()
    {
        Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true },
    };

    // A navy ring of 60 px around pure white, cut out; its hole was paper once, or is a white disc.
    private static readonly Artwork Ring = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(300, 300, (Rgba8[])[.. Enumerable.Range(0, 300 * 300).Select(i =>
        Math.Sqrt((((i % 300) - 150) * ((i % 300) - 150)) + (((i / 300) - 150) * ((i / 300) - 150))) switch
        {
            < 60 => Rgba8.White,
            < 120 => new Rgba8(20, 32, 74),
            _ => default,
        })]), 300);

    [Theory]
    [InlineData(ArtKind.CutOut)]
    [InlineData(ArtKind.OnPaper)]
    [InlineData(ArtKind.FullFrame)]
    [InlineData(ArtKind.Mixed)]
    public void What_is_written_is_read(ArtKind kind)
    {
        KindHint.Read(null).ShouldBeNull();
        KindHint.Read(KindHint.ToJson(Ring.Ground with { Kind = kind })).ShouldBe(kind);
        var provenance = new Provenance("puffin.png", "00", "black-garment", 3, "11") { Kind = kind };
        KindHint.Read(provenance.ToJson()).ShouldBe(kind);
        Provenance.Read(provenance.ToJson()).ShouldNotBeNull().Step.ShouldBe(3);
    }

    [Fact]
    public void How_far_it_was_resampled_is_read_within_bounds()
    {
        KindHint.ToJson(Ring.Ground).ShouldNotContain("scale");
        KindHint.ReadScale(KindHint.ToJson(Ring.Ground with { Scale = 0.42 })).ShouldBe(0.42);
        KindHint.ReadScale((new Provenance("puffin.png", "00", "black-garment", 3, "11") { Scale = 0.42 }).ToJson()).ShouldBe(0.42);
        GroundJson.Read(GroundJson.Of(Ring.Ground with { Scale = 0.42 }), new Box(0, 0, 300, 300)).ShouldBe(Ring.Ground with { Scale = 0.42 });
        foreach (string? text in (string?[])
            [null, .. Hostile.Select(row => row.Data), "{\"scale\":0}", "{\"scale\":-1}", "{\"scale\":\"2\"}", "{\"scale\":1e300}", "{\"scale\":1e999}",
                "{\"scale\":[0.5]}"])
        {
            KindHint.ReadScale(text).ShouldBe(1, text);
        }
    }

    public static TheoryData<string> Hostile =>
    [
        "", "no JSON", "[]", "{}", "{\"kind\":1}", "{\"kind\":null}", "{\"kind\":\"paper\"}", "{\"kind\":[\"on-paper\"]}", "{\"kind\":\"On-Paper\"}",
        "{\"kind\":\"on-paper\"", "{\"kind\":\"on-paper\",\"x\":\"" + new string('x', 65536) + "\"}", new string('[', 60_000),
    ];

    [Theory]
    [MemberData(nameof(Hostile))]
    public void Anything_else_says_nothing(string text) => KindHint.Read(text).ShouldBeNull();

    [Fact]
    public void Art_that_was_on_paper_is_asked_about_its_holes_and_keeps_every_finding()
    {
        var plain = ArtCheck.Of(Ring, Black);
        plain.Questions.ShouldBeEmpty();
        foreach (var kind in Enum.GetValues<ArtKind>())
        {
            var check = ArtCheck.Of(Ring, Black, hint: kind);
            check.Findings.Select(finding => finding with { Where = null }).ShouldBe(plain.Findings.Select(finding => finding with { Where = null }));
            check.Findings.Select(finding => finding.Where?.Coverage.ToContiguous())
                .ShouldBe(plain.Findings.Select(finding => finding.Where?.Coverage.ToContiguous()));
            check.Ground.ShouldBe(plain.Ground);
            bool asks = kind is ArtKind.OnPaper or ArtKind.Mixed;
            check.Questions.Length.ShouldBe(asks ? 1 : 0);
            if (asks)
            {
                var question = check.Questions[0];
                (question.Code, question.Proposal, question.Answer).ShouldBe(("enclosed-white", "white prints", "printable-whites.except=1"));
                question.Box.ShouldBe(new Box(91, 91, 119, 119));
                question.Message.ShouldContain("was on paper");
            }
        }

        // Where it doesn't show, nothing is asked.
        ArtCheck.Of(Ring, Black with { Garment = Rgba8.White }, hint: ArtKind.OnPaper).Questions.ShouldBeEmpty();
    }
}
