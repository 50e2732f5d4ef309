[admin@ACC-1] > /system clock print
             time: 08:41:12
             date: 2026-03-14
   time-zone-name: UTC
[admin@ACC-1] > /export
# 2026-03-14 08:41:20 by RouterOS 7.14.2
# software id = HL00-0001
#
# model = CRS326-24G-2S+
/interface bridge
add frame-types=admit-all name=bridge1 protocol-mode=rstp vlan-filtering=yes
/interface ethernet
set [ find default-name=ether1 ] comment=PANEL-B:01
set [ find default-name=ether2 ] comment=PANEL-B:02
set [ find default-name=ether3 ] comment=PANEL-B:03
set [ find default-name=ether4 ] comment=PANEL-B:04
set [ find default-name=ether5 ] comment=PANEL-B:05
set [ find default-name=ether6 ] comment=PANEL-B:06
set [ find default-name=ether7 ] comment=PANEL-B:07
set [ find default-name=ether8 ] comment=PANEL-B:08
set [ find default-name=ether9 ] comment=PANEL-B:09
set [ find default-name=ether10 ] comment=PANEL-B:10
set [ find default-name=ether11 ] disabled=yes
set [ find default-name=ether12 ] disabled=yes
set [ find default-name=sfp-sfpplus1 ] comment="to CORE-1 Gi1/0/2"
set [ find default-name=sfp-sfpplus2 ] comment="to ACC-2 Gi0/2"
/interface bridge port
add bridge=bridge1 interface=ether1 pvid=10
add bridge=bridge1 interface=ether2 pvid=10
add bridge=bridge1 interface=ether3 pvid=10
add bridge=bridge1 interface=ether4 pvid=10
add bridge=bridge1 interface=ether5 pvid=10
add bridge=bridge1 interface=ether6 pvid=10
add bridge=bridge1 interface=ether7 pvid=10
add bridge=bridge1 interface=ether8 pvid=10
add bridge=bridge1 frame-types=admit-only-untagged-and-priority-tagged interface=ether9 pvid=40
add bridge=bridge1 frame-types=admit-only-untagged-and-priority-tagged interface=ether10 pvid=40
add bridge=bridge1 frame-types=admit-only-vlan-tagged interface=sfp-sfpplus1
add bridge=bridge1 frame-types=admit-only-vlan-tagged interface=sfp-sfpplus2
/interface bridge vlan
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 untagged=ether1,ether2,ether3,ether4,ether5,ether6,ether7,ether8 vlan-ids=10
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2,ether1,ether2,ether3,ether4,ether5,ether6 vlan-ids=20
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 untagged=ether9,ether10 vlan-ids=40
add bridge=bridge1 tagged=sfp-sfpplus1,sfp-sfpplus2 vlan-ids=50
/system identity
set name=ACC-1
[admin@ACC-1] >
