using Recipes.Hosting.Arts;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Tickets;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>What a picture for the customer's yes says of a print whose size and file are known.</summary>
public class ApprovalSheetTests
{
    private static readonly GarmentSetup Navy = SetupStore.Shipped.Single(setup => setup.Name == "light-garment") with { Garment = new Rgba8(31, 42, 68) };

    // 300 x 150 px of ink at 150 ppi are 2 x 1 in, and an inch is 25.4 mm by definition.
    [Fact]
    public void It_says_art_size_garment_and_the_state_where_nothing_is_exported()
    {
        var sheet = ApprovalSheet.Of(State(null, 0), Navy);
        sheet.Lines.Select(line => $"{line.Label}: {line.Text}").ShouldBe([
            "Art: harbor run.png", "Printed: 2.00 x 1.00 in (51 x 25 mm)", "Garment: light-garment, #1f2a44",
            $"State: {new string('b', 64)} (not exported yet)",
            "Mind: This picture simulates the garment on a screen.", ": Colors on cloth differ from those on a screen.",
            ": Only a test print on the garment shows them.", ": ",
            $"Yes: Print it so. Name {new string('_', 27)} Date {new string('_', 18)}"]);
        var json = sheet.ToJson();
        ((string)json["hash"]!["of"]!, (string)json["hash"]!["sha256"]!, (double)json["printed"]!["widthMm"]!, (double)json["printed"]!["heightIn"]!)
            .ShouldBe(("state", new string('b', 64), 50.8, 1));
        ((string)json["art"]!, (string)json["garment"]!, (string)json["cloth"]!, json["cautions"]!.AsArray().Count)
            .ShouldBe(("harbor run.png", "light-garment", "#1f2a44", 3));
    }

    [Fact]
    public void It_says_the_order_first_and_that_it_writes_a_name_otherwise()
    {
        var state = State(null, 0);
        state = state with { Identity = state.Identity with { Path = "orders/M\u00f6we.png" } };
        var sheet = ApprovalSheet.Of(state, Navy) with { Fields = TicketField.Read(["cloth-batch=7", "order=H-1042", "quantity=12"]) };
        sheet.Lines.Take(4).Select(line => $"{line.Label}: {line.Text}").ShouldBe(["Order: H-1042", "Quantity: 12", ": Cloth batch: 7", "Art: M\u00f6we.png"]);
        sheet.Lines.ShouldContain(line => line.Label == "Letters" && line.Text.Contains("no accents", StringComparison.Ordinal));
        ((string)sheet.ToJson()["fields"]!["order"]!, (bool)sheet.ToJson()["respelled"]!).ShouldBe(("H-1042", true));
        ApprovalSheet.Of(State(null, 0), Navy).IsRespelled.ShouldBeFalse();
    }

    [Fact]
    public void It_says_the_file_that_was_exported_from_the_state()
    {
        string folder = Sample.Folder();
        try
        {
            using var work = WorkFile.Create(Path.Combine(folder, "a.work"), Sample.Original, State(null, 0).Art);
            work.Commit("light-garment", 0, Sample.Record(), State(null, 0).Art);
            work.RecordExport("light-garment", new ExportRecord("run.png", new string('e', 64), 1, Sample.Noon));
            ApprovalSheet.Of(State(work, 1), Navy).ToJson()["hash"]!.ToJsonString().ShouldBe($$"""{"of":"export","sha256":"{{new string('e', 64)}}"}""");
            ApprovalSheet.Of(State(work, 0), Navy).Export.ShouldBeNull();
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public void A_name_of_control_characters_stays_one_line_and_nothing_that_prints_is_said()
    {
        var bare = State(null, 0) with { Art = Artwork.FromPixels(Plane<Rgba8>.OneValue(30, 30, Rgba8.White), 150) };
        bare = bare with { Identity = bare.Identity with { Path = "a/\u202Egnp\n.exe" + new string('x', 300) } };
        var sheet = ApprovalSheet.Of(bare, Navy);
        sheet.Lines[1].Text.ShouldBe("nothing prints");
        sheet.ToJson()["printed"].ShouldBeNull();
        string name = sheet.Lines[0].Text;
        // 120 characters and an ellipsis.
        (name.Length <= 121, name.Any(character => char.IsControl(character) || character == '\u202E')).ShouldBe((true, false));
    }

    private static ArtState State(WorkFile? work, int step)
    {
        var flat = Plane<Rgba8>.FromContiguous(400, 200, Enumerable.Range(0, 400 * 200)
            .Select(i => i % 400 is >= 50 and < 350 && i / 400 is >= 25 and < 175 ? new Rgba8(240, 120, 30) : Rgba8.White).ToArray());
        return new ArtState
        {
            File = new ArtFile("orders/harbor run.png", [], work?.Original.Sha256 ?? new string('a', 64)),
            Art = Artwork.FromPixels(flat, 150),
            Identity = new ArtIdentity("orders/harbor run.png", new string('a', 64), 400, 200, 150, "PNG, 8-bit RGBA", []),
            Step = step,
            StateSha256 = new string('b', 64),
            Setup = Navy,
            SetupIsFallback = false,
            Work = work,
        };
    }
}
