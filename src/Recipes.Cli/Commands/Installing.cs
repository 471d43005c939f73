using System.CommandLine;
using Recipes.Hosting.Packs;

namespace Recipes.Cli.Commands;

/// <summary>The options of <c>add</c> and <c>update</c>.</summary>
internal sealed class Installing
{
    private readonly Option<bool> show = new("--show") { Description = "Only show what would be installed" };
    private readonly Option<bool> force = Options.Force();
    private readonly Option<string?> by = Options.By();
    private readonly Option<string?> note = new("--note") { Description = "Why, for the journal and 'list --new'", HelpName = "TEXT" };

    public void AddTo(Command command)
    {
        command.Add(show);
        command.Add(force);
        command.Add(by);
        command.Add(note);
    }

    public AddOptions Read(Session session) => new(session.By(by))
    {
        OnlyShow = session.Parse.GetValue(show), Force = session.Parse.GetValue(force), Note = session.Parse.GetValue(note),
    };
}
