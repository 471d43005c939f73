using Recipes.Imaging;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>The usual list, on orders whose truth is known: no garment is ruined in silence, and nobody is asked so often that asking is useless.</summary>
public class OrderTests
{
    private static readonly Lazy<IReadOnlyList<Judgment>> Judged = new(() => [.. OrderFolder.Orders.AsParallel().AsOrdered().Select(OrderJudge.Of)]);

    [Fact]
    public void Orders_are_many_and_each_is_another()
    {
        OrderBook.All.Count.ShouldBeGreaterThanOrEqualTo(100);
        OrderBook.All.Select(order => order.Name).ShouldBeUnique();
    }

    /// <summary>Of the judge: what was drawn, as each setup writes it, is right, and a blank garment is wrong wherever something must print.</summary>
    [Fact]
    public void The_drawing_itself_is_right_and_a_blank_garment_is_wrong()
    {
        OrderBook.All.Where(order => order.Delivery == Delivery.CutOut || order.Delivery == Delivery.AsDrawn).AsParallel().ForAll(order =>
        {
            var received = order.Receive();
            var perfect = OrderJudge.Look(
                order, received, [.. received.Art.Ideal.Select((pixel, i) => Written(pixel, received.Art.Parts[i], order.Setup.Ink))]);
            perfect.Spots.ShouldBeEmpty(order.Name);
            perfect.Rim.ShouldBe(0, 0.1, order.Name);
            OrderJudge.Look(order, received, new Rgba8[received.Pixels.Length]).Spots.ShouldNotBeEmpty(order.Name);
        });
    }

    /// <summary>At most 1 mm2 of anything is wrong that no finding and no question names.</summary>
    [Fact]
    public void No_order_is_ruined_in_silence() => Except(Known.Ruined, judged => judged.Silent.Any());

    /// <summary>Common practice, no source: half a square millimeter isn't seen.</summary>
    [Fact]
    public void No_pale_rim_shows() => Except(Known.Rimmed, judged => judged.Rim > 0.5);

    [Fact]
    public void Every_kind_is_judged_right() => Except(Known.Misjudged, judged => !judged.KindIsRight);

    [Fact]
    public void Questions_are_few()
    {
        Except(Known.OverAsked, judged => judged.Asked.Length > Math.Min(3, judged.Needed + 1));
        // Of the book half of the orders need no question; of what a seed draws, more may.
        int most = OrderBook.IsSeeded ? Middle(judged => judged.Needed) : 0;
        Middle(judged => judged.Asked.Length).ShouldBeLessThanOrEqualTo(most);
        var needless = Judged.Value.Where(judged => judged.Needed == 0).ToList();
        string[] asked = [.. needless.Where(judged => judged.Asked.Length > 0).Select(judged => judged.Order.Name).Except(Known.AskedForNothing)];
        (asked.Length * 10).ShouldBeLessThanOrEqualTo(needless.Count, string.Join(", ", asked));
    }

    [Fact]
    public void The_page_shows_what_comes_out()
    {
        if (OrderFolder.Path is { } folder)
        {
            // What takes long comes last.
            Directory.CreateDirectory(folder);
            File.WriteAllText(Path.Combine(folder, "spots.txt"), OrderTable.Spots(Judged.Value));
            OrderFolder.WriteOrders();
            OrderFolder.WriteSheets();
        }

        if (OrderFolder.Only is not null)
        {
            OrderTable.Rows(Judged.Value).ShouldBeSubsetOf(File.ReadAllLines(OrderTable.File));
            return;
        }

        string page = OrderTable.Page(Judged.Value);
        if (Environment.GetEnvironmentVariable("RECIPES_ORDERS_WRITE") == "1")
        {
            File.WriteAllText(OrderTable.File, page);
        }

        File.ReadAllText(OrderTable.File).ShouldBe(page, "RECIPES_ORDERS_WRITE=1 dotnet test tests/Recipes.Shipped.Tests writes it anew");
    }

    private static void Except(string[] known, Func<Judgment, bool> isWrong) =>
        Judged.Value.Where(isWrong).Select(judged => judged.Order.Name).ShouldBe(known, ignoreOrder: true);

    private static int Middle(Func<Judgment, int> count) => Judged.Value.Select(count).Order().ElementAt(Judged.Value.Count / 2);

    // White that must print is the brightest that does; black that drops is exact; what isn't drawn is clear.
    private static Rgba8 Written(Rgba8 pixel, Part part, InkRules ink) => pixel.A == 0 || part == Part.Ground ? default
        : part == Part.Black && ink.BlackBare ? Rgba8.Black
        : ink.WhiteBare && pixel.WithAlpha(255) == Rgba8.White ? ink.BrightestWhite.WithAlpha(pixel.A) : pixel;
}
