using System.CommandLine;
using System.Text.Json.Nodes;
using Recipes.Hosting.Trust;

namespace Recipes.Cli.Commands;

/// <summary><c>keys</c>: the keys that the house trusts and the user's own; <c>keys new</c> makes one.</summary>
internal static class KeysCommand
{
    public static Command Create()
    {
        var name = new Argument<string>("NAME") { Description = "What to call it", Arity = ArgumentArity.ZeroOrOne, DefaultValueFactory = _ => "mine" };
        var make = new Command("new", "Makes a key to approve recipes with; its private half stays with you") { name };
        make.With("recipes keys new press-room", session => New(session.Parse.GetRequiredValue(name)));
        return new Command("keys", "Shows the keys that approvals are checked with, and your own") { make }.With("recipes keys", _ => Show());
    }

    private static Outcome New(string name)
    {
        var (key, secret, open) = SigningKey.Create(name);
        var fields = new JsonObject { ["name"] = name, ["sha256"] = key.Sha256, ["private"] = secret, ["public"] = open };
        return new Outcome(fields, text =>
        {
            text.WriteLine($"The key {name} is made: {key.Sha256}");
            text.WriteLine($"Private: {secret} (only you can read it; keep a copy where nobody else can)");
            text.WriteLine($"Public:  {open} (give this one to whoever looks after the house configuration)");
        });
    }

    private static Outcome Show()
    {
        var house = House.Read();
        var own = SigningKey.Names();
        var fields = new JsonObject
        {
            ["house"] = house.File,
            ["requireApproval"] = house.RequiresApproval,
            ["keys"] = new JsonArray([.. house.Keys.Select(key => new JsonObject
            {
                ["name"] = key.Key.Name,
                ["sha256"] = key.Key.Sha256,
                ["until"] = key.Until is { } until ? RunText.Day(until) : null,
                ["revoked"] = key.Revoked is { } revoked ? RunText.Day(revoked) : null,
            })]),
            ["own"] = new JsonArray([.. own.Select(name => (JsonNode?)name)]),
        };
        return new Outcome(fields, text =>
        {
            text.WriteLine(house.File is null ? "There is no house configuration; nothing demands approval." : $"House configuration: {house.File}");
            if (house.File is not null)
            {
                text.WriteLine(house.RequiresApproval
                    ? "It demands approval: commit and run take approved and shipped recipes only." : "It doesn't demand approval.");
            }

            foreach (var key in house.Keys)
            {
                string ends = key.Revoked is { } revoked ? $"  revoked {RunText.Day(revoked)}"
                    : key.Until is { } until ? $"  signs until {RunText.Day(until)}" : "";
                text.WriteLine($"  {key.Key.Name}  {key.Key.Sha256[..16]}{ends}");
            }

            text.WriteLine(own.Count == 0 ? "You have no key of your own; 'recipes keys new' makes one." : $"Your own: {string.Join(", ", own)}");
        });
    }
}
