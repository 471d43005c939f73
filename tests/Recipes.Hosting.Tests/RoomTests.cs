using System.Reflection;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Words;
using Recipes.Tests;

namespace Recipes.Hosting.Tests;

/// <summary>Hosting's folders: one subject and one namespace each, in an order, and each refers to earlier ones only.</summary>
public class RoomTests
{
    /// <summary>The rooms in their order, as DEVELOPERS.md lists them.</summary>
    private static readonly string[] Rooms =
    [
        "Words", "Workers", "Library", "Trust", "Setups", "Journals", "Shops", "Arts", "Charts", "Reports", "Checks", "Runs", "Packs", "Tickets",
        "Orders", "Pages", "DryRuns", "Cases", "Steps", "CarryOvers", "Exports", "TestPrints", "ManyRuns", "Editing",
    ];

    private static readonly Assembly Hosting = typeof(Numeral).Assembly;

    [Fact]
    public void Each_room_refers_to_earlier_ones_only() => RoomArrows.Wrong(Hosting, Rooms, RoomArrows.Namespace).ShouldBeEmpty();

    [Fact]
    public void Every_type_lies_in_a_room() => RoomArrows.Of(Hosting, RoomArrows.Namespace).Order().ShouldBe(Rooms.Order());

    [Fact]
    public void A_wrong_arrow_is_seen()
    {
        // Turned around, what is right is wrong: pages stand on words.
        string[] turned = ["Pages", .. Rooms.Where(room => room != "Pages")];
        RoomArrows.Wrong(Hosting, turned, RoomArrows.Namespace).ShouldContain(line => line.StartsWith("Pages refers to Words, which comes later: ")
            && line.Contains(typeof(Page).FullName!) && line.Contains(typeof(Numeral).FullName!));
    }
}
