"""Words for who and what is about the house and belongs to no fish room, and what a clause about them looks like."""

# ruff: noqa: SIM905  (tables of words are read as tables)

from __future__ import annotations

KIN = frozenset(
    """
    wife husband partner girlfriend boyfriend fiance fiancee son daughter sons daughters kid kids child children
    brother brothers sister sisters mum mom mother dad father grandma grandad grandpa granny nan uncle aunt auntie
    cousin cousins nephew niece nephews nieces parents grandkids grandson granddaughter in-laws roommate flatmate
    oldest youngest eldest
    """.split()
)
OTHERS = frozenset(
    """
    neighbour neighbours neighbor neighbors friend friends guy guys chap chaps bloke blokes fellow fellows fella
    man men woman women lady ladies gentleman boss colleague colleagues coworker coworkers teacher doctor dentist
    vet nurse plumber electrician roofer landlord tenant mailman postman driver clerk cashier salesman breeder
    breeders keeper member members visitor visitors guest guests kiddo someone somebody people folks timers
    customer customers stranger physio mechanic builder painter gardener waiter telemarketer officer shop shops
    store stores club office school bank company team government council hospital library church market grocery
    bakery pharmacy restaurant supermarket internet forum video article book books magazine radio news documentary
    movie film program programme podcast show vendor seller sellers dealer wholesaler
    """.split()
)
BEASTS = frozenset(
    """
    dog dogs puppy cat cats kitten kittens hen hens chicken chickens rooster bird birds bees bee wasps deer mouse
    mice rat rats raccoon squirrel squirrels fox heron frogs rabbit hamster horse horses cow cows pig pigs goat
    goats
    """.split()
)
PEOPLE = KIN | OTHERS | BEASTS
ALONE = frozenset(
    """
    mum mom dad grandma grandad grandpa granny nan uncle aunt auntie someone somebody people folks neighbours
    neighbors kids
    """.split()
)  # said without "my" or "the"
FISHY = frozenset(
    """
    one ones lot lots rest others other all both bunch batch group guy guys fella fellas girl girls boy boys runt
    runts baby babies lady ladies gentleman mum mom mother dad father couple few some half several body beauty
    beauties survivor survivors straggler stragglers little big small large weak weaker more biggest smallest bag
    bags jar jars tray trays bottle jug box boxes container bowl cup cups dish net nets cone cones lid lids plant
    plants moss snail snails shrimp shrimps hydra algae water pump pumps airline air stone stones wood rock rocks
    sand gravel leaf leaves guppy guppies betta bettas koi goldfish tetra tetras angel angels barb barbs pleco
    plecos breeder breeders spawn clutch clutches brood school shoal colony mate mates individual individuals
    specimen bit zone heat heating temp temps room rack row shelf system strip probe thermometer dial timer thing
    things them it those these that this stuff something
    """.split()
)  # nouns that may well stand for what lives or stands in the room
DETERMINERS = frozenset("the my our a an some this that these those his her their your every another one no".split())
LEADS = frozenset(
    """
    and so then but also plus anyway anyways oh well yeah yes no ok okay btw meanwhile honestly actually apparently
    still now just even sure though however today after that because while when as , - : ( ) ; besides sadly
    luckily
    """.split()
)
SELF = frozenset("i we i've we've i'm we're i'd we'd".split())
SOMEONES = frozenset("he she they he's she's they're he'd she'd they'd they've who".split())
POSSESSIVES = frozenset("his her their hers theirs".split())
SAYING = frozenset(
    """
    say says said claim claims claimed swear swears swore reckon reckons reckoned told tells wrote writes warned
    thinks believes argued argues insists insisted
    """.split()
)
PRINT = frozenset(
    """
    label sticker sign package packet bag box bottle tin book page site website card leaflet manual instructions
    wiki post ad advert timers they
    """.split()
)
BE = frozenset(
    """
    is are was were isn't wasn't aren't weren't has had have hasn't got gets get went goes came comes ran runs
    keeps kept turned turns needs needed wants wanted lasted made makes took takes starts started ends ended sounds
    looks looked felt feels smells smelled costs cost lost won died broke knocked gave said can can't will won't
    would could
    """.split()
)
DEALT = ("hold", "release", "bought", "paid")
DONE_TO = ("sold", "bought", "lost", "pull", "move", "count", "clean", "changed", "dead", "start", "hatch")
FEELING = frozenset(
    """
    love loves loved like likes hate hates enjoy wonder wondered wondering remember forget imagine miss dream think
    """.split()
)
HABIT = frozenset("always sometimes usually often rarely seldom generally normally".split())
HOME = frozenset(
    """
    kitchen garage garden yard lawn roof car truck bike bathroom dryer fridge freezer oven dishwasher hall hallway
    porch couch sofa bedroom attic driveway stairs office warehouse desk computer laptop phone tv telly radio soup
    toilet laundry dishes mailbox carpet curtains drawer
    """.split()
)
ONESELF = frozenset(
    "ate eat drank drink slept woke cooked baked boiled fried watched read drove".split()
)  # "I ate 3 tacos"
KITCHEN = frozenset(
    """
    omelette omelet recipe bake baking scrambled boiled poached carton groceries pancakes cookies cake cakes soup
    donuts sandwich tacos pizza
    """.split()
)
MEDIA = frozenset("show movie film documentary program programme video article radio news podcast tv telly".split())
